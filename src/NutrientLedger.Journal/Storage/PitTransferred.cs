namespace NutrientLedger.Journal.Storage;

/// <summary>Manure was pumped from one pit into another; volume and deviation in mL.</summary>
public sealed record PitTransferred(
    string By,
    DateTimeOffset MovedAt,
    string FromPitId,
    string ToPitId,
    long VolumeMillilitres,
    StatedDeviation? Deviation
) : IJournalEvent;
