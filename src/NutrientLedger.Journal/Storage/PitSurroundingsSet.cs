using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Storage;

/// <summary>
/// From a moment on an area of ground (m²) sheds rain into a pit. A share of it arrives (thousandths). The pit is
/// covered, or open to rain and air.
/// </summary>
public sealed record PitSurroundingsSet(
    string By,
    string PitId,
    int RunoffSquareMetres,
    int RunoffShareThousandths,
    bool Covered,
    DateTimeOffset ValidFrom
) : IDefinedEvent<PitSurroundingsSet>
{
    public static EventDefinition<PitSurroundingsSet> Definition { get; } =
        new("pit_surroundings_set", new(EventRoute.HandRecord, "surroundings"))
        {
            Changes = EventChanges.Nothing,
            Subject = surroundings => surroundings.PitId,
        };
}
