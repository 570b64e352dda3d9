using System.Collections.Immutable;

namespace NutrientLedger.Ledger.Sampling;

/// <summary>
/// The values of laboratory and sensor for one sample, in the sensor's unit (mg/L, or ppm for dry matter).
/// </summary>
public sealed record SamplePair(SampledWindow Window, double Laboratory, double Sensor, PassedContent Passed)
{
    /// <summary>Further reports of the same sample. It is one pair all the same.</summary>
    public ImmutableArray<string> FurtherReportIds { get; init; } = [];

    /// <summary>All reports of the sample, the first one first.</summary>
    public IEnumerable<string> ReportIds => FurtherReportIds.Prepend(Window.Result.ReportId);
}
