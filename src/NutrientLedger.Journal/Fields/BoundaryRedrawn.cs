using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Fields;

/// <summary>A field's boundary was redrawn. It holds from a day on (farm time), for the reason given.</summary>
public sealed record BoundaryRedrawn(string FieldId, Boundary Boundary, DateOnly ValidFrom, string Reason)
    : IDefinedEvent<BoundaryRedrawn>
{
    public static EventDefinition<BoundaryRedrawn> Definition { get; } =
        new("boundary_redrawn", new(EventRoute.FarmFile, "fields"))
        {
            Scope = redrawn => [new RebuildScope.GroundOf(redrawn.FieldId, redrawn.ValidFrom)],
            Subject = redrawn => redrawn.FieldId,
            Key = redrawn => EntryKey.TextOf(redrawn.FieldId, redrawn.ValidFrom),
        };
}
