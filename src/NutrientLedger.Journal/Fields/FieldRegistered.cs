using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Fields;

/// <summary>A field was registered, with the boundary it has from a day on (farm time).</summary>
public sealed record FieldRegistered(string FieldId, string Name, Boundary Boundary, DateOnly ValidFrom)
    : IDefinedEvent<FieldRegistered>
{
    public static EventDefinition<FieldRegistered> Definition { get; } =
        new("field_registered", new(EventRoute.FarmFile, "fields"))
        {
            Scope = field => [new RebuildScope.GroundOf(field.FieldId, field.ValidFrom)],
            Subject = field => field.FieldId,
            Key = field => EntryKey.TextOf(field.FieldId, field.ValidFrom),
        };
}
