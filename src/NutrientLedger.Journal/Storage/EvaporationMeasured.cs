using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Storage;

/// <summary>What evaporated from a pit's open surface from one moment to another; depth and deviation in micrometres.</summary>
public sealed record EvaporationMeasured(
    string By,
    string PitId,
    DateTimeOffset From,
    DateTimeOffset Until,
    long DepthMicrometres,
    StatedDeviation? Deviation
) : IDefinedEvent<EvaporationMeasured>
{
    public static EventDefinition<EvaporationMeasured> Definition { get; } =
        new("evaporation_measured", new(EventRoute.HandRecord, "evaporation"))
        {
            Changes = EventChanges.Nothing,
            Subject = evaporated => evaporated.PitId,
        };
}
