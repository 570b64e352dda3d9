using System.Collections.Immutable;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Configuration;

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
    /// Pairs each sample with what passed the sensor in its window. Both lists are in the same order. Reports of one
    /// place, time and jar are of one sample: it is one pair, with the mean of the values that differ.
    /// </summary>
    public static SamplePairing Of(
        IReadOnlyList<SampledWindow> windows,
        IReadOnlyList<PassedContent> passed,
        Analyte analyte,
        FarmCalendar calendar
    )
    {
        var pairs = new OrderedDictionary<Sample, (SamplePair Pair, ImmutableArray<double> Values)>();
        var unpaired = new List<UnpairedSample>();
        foreach (var (window, sum) in windows.Zip(passed))
        {
            var result = window.Result;
            var printed = LabContent.Of(result).FirstOrDefault(content => content.Analyte == analyte);
            if (printed?.InSensorUnit is not { } laboratory)
                unpaired.Add(new(result.ReportId, UnpairedReason.NoLaboratoryValue));
            else if (sum.Mean is not { } mean)
                unpaired.Add(
                    new(result.ReportId, sum.VolumeMillilitres == 0 ? UnpairedReason.NoFlow : UnpairedReason.NoContent)
                );
            else if (pairs.TryGetValue(Sample.Of(result), out var known))
            {
                var values = known.Values.Add(laboratory);
                var further = known.Pair.FurtherReportIds.Add(result.ReportId);
                pairs[Sample.Of(result)] = (
                    known.Pair with
                    {
                        Laboratory = values.Distinct().Average(),
                        FurtherReportIds = further,
                    },
                    values
                );
            }
            else
                pairs[Sample.Of(result)] = (new(window, laboratory, mean, sum), [laboratory]);
        }
        return new(SensorCheck.Of([.. pairs.Values.Select(it => it.Pair)], calendar), [.. unpaired]);
    }

    /// <summary>Place, time and jar. How a jar's name is spaced or capitalized makes no difference.</summary>
    private readonly record struct Sample(
        string? SensorId,
        string? PitId,
        string? ApplicatorId,
        DateTimeOffset From,
        DateTimeOffset To,
        string Jar
    )
    {
        public static Sample Of(LabResultReported result) =>
            new(
                result.SensorId,
                result.PitId,
                result.ApplicatorId,
                result.SampledFrom,
                result.SampledTo,
                string.Concat(result.SampleId.Where(letter => !char.IsWhiteSpace(letter))).ToUpperInvariant()
            );
    }
}
