using System.Collections.Immutable;
using NutrientLedger.Journal.Sampling;

namespace NutrientLedger.Ledger.Sampling;

/// <summary>Why a laboratory report has no counterpart from the sensor.</summary>
public enum UnpairedReason
{
    /// <summary>The report gives no content of the analyte in the unit of the sensor.</summary>
    NoLaboratoryValue = 1,

    /// <summary>Nothing flowed past the sensor while the sample was taken.</summary>
    NoFlow = 2,

    /// <summary>Something flowed, but the sensor reported no content.</summary>
    NoContent = 3,
}

/// <summary>A laboratory report without a counterpart.</summary>
public sealed record UnpairedSample(string ReportId, UnpairedReason Reason);

/// <summary>
/// The samples of both laboratory and sensor with the check of them, and those that one of the two lacks.
/// </summary>
public sealed record SamplePairing(SensorCheck Check, ImmutableArray<UnpairedSample> Unpaired)
{
    /// <summary>
    /// Pairs each window's report with what passed the sensor in that window. Both lists are in the same order.
    /// </summary>
    public static SamplePairing Of(
        IReadOnlyList<SampledWindow> windows,
        IReadOnlyList<PassedContent> passed,
        Analyte analyte
    )
    {
        var pairs = new List<SamplePair>();
        var unpaired = new List<UnpairedSample>();
        foreach (var (window, sum) in windows.Zip(passed))
        {
            var id = window.Result.ReportId;
            var found = LabContent.Of(window.Result).FirstOrDefault(content => content.Analyte == analyte);
            if (found?.InSensorUnit is not { } laboratory)
                unpaired.Add(new(id, UnpairedReason.NoLaboratoryValue));
            else if (sum.Mean is { } mean)
                pairs.Add(new(window, laboratory, mean, sum));
            else
                unpaired.Add(new(id, sum.VolumeMillilitres == 0 ? UnpairedReason.NoFlow : UnpairedReason.NoContent));
        }
        return new(SensorCheck.Of(pairs), [.. unpaired]);
    }
}
