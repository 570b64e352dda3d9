using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Sampling;

/// <summary>
/// The readings of a sensor that are compared with a sample: what passed it from one moment to another (ms since 1970,
/// the end excluded). Where a pit was sampled, only from that pit. Where an applicator was sampled, what left it
/// meanwhile.
/// </summary>
public sealed record SampledWindow(
    LabResultReported Result,
    long FromMilliseconds,
    long UntilMilliseconds,
    string? PitId,
    string? ApplicatorId = null
)
{
    /// <summary>
    /// What leaves a pit within a day of sampling is taken to be what was sampled (common practice, no source). In
    /// hours.
    /// </summary>
    public const int PitHoursDefault = 24;

    /// <summary>A week, in hours: beyond it a pit is no longer what was sampled (common practice, no source).</summary>
    public const int PitHoursMax = 168;

    /// <summary>
    /// The second of a grab sample is unknown. A minute to either side is counted (common practice, no source).
    /// </summary>
    private const long GrabMilliseconds = 60_000;

    /// <summary>What stayed in a hose for longer than a day is not searched for (common practice, no source).</summary>
    private const long InHoseMillisecondsMax = 86_400_000;

    /// <summary>The first moment of readings that matter. What leaves an applicator passed the pump earlier.</summary>
    public long ReadFromMilliseconds =>
        ApplicatorId is null ? FromMilliseconds : FromMilliseconds - InHoseMillisecondsMax;

    /// <summary>
    /// The windows of all reports that count for one sensor. Those taken at applicators only where it was ever mounted
    /// for them.
    /// </summary>
    public static SampledWindow[] All(FarmConfiguration configuration, string sensorId, int pitHours)
    {
        var equipmentIds = configuration
            .Sensors.Where(it => it.SensorId == sensorId)
            .Select(it => it.EquipmentId)
            .ToHashSet();
        return
        [
            .. configuration
                .LabReports.InForce.Select(report => Of(report.Result, sensorId, pitHours))
                .OfType<SampledWindow>()
                .Where(window => window.ApplicatorId is null || equipmentIds.Contains(window.ApplicatorId)),
        ];
    }

    /// <summary>
    /// The window of a report for one sensor. Null where it is about another sensor. What was metered from a sampled
    /// pit so many hours before and after is taken to be the same manure.
    /// </summary>
    public static SampledWindow? Of(LabResultReported result, string sensorId, int pitHours)
    {
        var from = ConfigurationIndex.Milliseconds(result.SampledFrom);
        var until = ConfigurationIndex.Milliseconds(result.SampledTo);
        if (result.SensorId is not null && result.SensorId != sensorId)
            return null;
        if (result.SensorId is not null || result.ApplicatorId is not null)
            return from == until
                ? new(result, from - GrabMilliseconds, until + GrabMilliseconds, null, result.ApplicatorId)
                : new(result, from, until, null, result.ApplicatorId);
        var around = pitHours * 3_600_000L;
        return result.PitId is { } pit ? new(result, from - around, until + around, pit) : null;
    }

    internal bool Holds(long milliseconds) => milliseconds >= FromMilliseconds && milliseconds < UntilMilliseconds;

    internal bool ReadsFrom(long milliseconds) =>
        milliseconds >= ReadFromMilliseconds && milliseconds < UntilMilliseconds;
}
