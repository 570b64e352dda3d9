using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Storage;

/// <summary>Manure was pumped from one pit into another. Volume and deviation are in mL.</summary>
public sealed record PitTransferred(
    string By,
    DateTimeOffset MovedAt,
    string FromPitId,
    string ToPitId,
    long VolumeMillilitres,
    StatedDeviation? Deviation
) : IDefinedEvent<PitTransferred>
{
    public static EventDefinition<PitTransferred> Definition { get; } =
        new("pit_transferred", new(EventRoute.HandRecord, "transfer"))
        {
            Changes = EventChanges.Nothing,
            Subject = transfer => transfer.FromPitId,
        };
}
