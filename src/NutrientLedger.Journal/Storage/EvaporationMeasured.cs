using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Storage;

/// <summary>
/// Evaporation from a pit's open surface between two moments. Depth and deviation are in micrometres.
/// </summary>
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
