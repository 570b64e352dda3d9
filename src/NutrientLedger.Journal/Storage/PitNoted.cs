using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Storage;

/// <summary>What was done to the liquid in a pit, or seen on it.</summary>
public enum PitNoteKind
{
    /// <summary>Stirred from one moment to another. Levels are rough meanwhile.</summary>
    Agitated = 1,

    /// <summary>Found settled into layers.</summary>
    Settled = 2,

    /// <summary>Foam or a crust lay on the liquid, which level sensors take for its surface.</summary>
    FoamOrCrust = 3,
}

/// <summary>A note on a pit for a stretch of time.</summary>
public sealed record PitNoted(
    string By,
    string PitId,
    PitNoteKind Kind,
    DateTimeOffset From,
    DateTimeOffset Until,
    string Text
) : IDefinedEvent<PitNoted>
{
    public static EventDefinition<PitNoted> Definition { get; } =
        new("pit_noted", new(EventRoute.HandRecord, "note"))
        {
            Changes = EventChanges.Nothing,
            Subject = note => note.PitId,
        };
}
