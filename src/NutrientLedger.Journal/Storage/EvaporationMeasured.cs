namespace NutrientLedger.Journal.Storage;

/// <summary>What evaporated from a pit's open surface from one moment to another; depth and deviation in micrometres.</summary>
public sealed record EvaporationMeasured(
    string By,
    string PitId,
    DateTimeOffset From,
    DateTimeOffset Until,
    long DepthMicrometres,
    StatedDeviation? Deviation
) : IJournalEvent;
