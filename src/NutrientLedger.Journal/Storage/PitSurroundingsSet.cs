using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Storage;

/// <summary>
/// From a moment on so much ground (m²) sheds rain into a pit, this share of it arrives (thousandths), and the pit is covered or
/// lies open to rain and air.
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
