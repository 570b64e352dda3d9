using NutrientLedger.Journal.Sampling;

namespace NutrientLedger.Ledger;

/// <summary>
/// From which readings of a sensor the counterpart of a sample is made: what ran past it from one moment to another (ms since 1970,
/// the end excluded), from one pit only where a pit was sampled.
/// </summary>
public sealed record SampledWindow(
    LabResultReported Result,
    long FromMilliseconds,
    long UntilMilliseconds,
    string? PitId
)
{
    /// <summary>A grab sample takes a moment of which nobody knows the second; a minute to either side is counted (common practice, no source).</summary>
    private const long GrabMilliseconds = 60_000;

    /// <summary>
    /// The window of a report for one sensor; nothing where it is about another sensor. What was metered from a sampled pit so many hours
    /// before and after is taken to be the same manure.
    /// </summary>
    public static SampledWindow? Of(LabResultReported result, string sensorId, int pitHours)
    {
        var from = RegisterContents.Milliseconds(result.SampledFrom);
        var until = RegisterContents.Milliseconds(result.SampledTo);
        if (result.SensorId is { } sampledAt)
            return sampledAt != sensorId ? null
                : from == until ? new(result, from - GrabMilliseconds, until + GrabMilliseconds, null)
                : new(result, from, until, null);
        var around = pitHours * 3_600_000L;
        return result.PitId is { } pit ? new(result, from - around, until + around, pit) : null;
    }
}
