using NutrientLedger.Agronomy.Spreading;
using NutrientLedger.Agronomy.Statistics;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Ledger.Readings;

/// <summary>
/// Finds what one reading alone cannot show: values that stay constant, jump or drift. The limits are common practice,
/// no source. They are chosen so that a normal season gives next to nothing. A person decides about each finding.
/// </summary>
internal static class ReadingFindings
{
    // Wide enough that two minutes of a fouled window, once a second, are the smaller part of the comparison.
    private const int ContentsToEachSide = 150;

    // A value is far when it lies more than six robust standard deviations from the median around it.
    private const double FarDeviations = 6;

    // Noise of an optical sensor is not below 2 % of the content and one last digit.
    private const double DeviationShareMin = 0.02;

    // Far values with at most so many numbers between them are one finding.
    private const long SameRun = 10;

    private const int StuckReadings = 120;
    private const int OthersMoved = 10;

    // A trend is reported beyond 15 % of the content in the time examined and beyond three and a half standard errors.
    // That needs three quarters of an hour at least.
    private const double DriftShare = 0.15;
    private const double DriftErrors = 3.5;
    private const long DriftPartMilliseconds = 300_000;
    private const int DriftPartsMin = 9;

    // A meter that has not come back after so many readings was reset.
    private const int TotalsWrongMax = 10;

    private static readonly (string Name, Func<SpreadReading, long?> Value)[] Contents =
    [
        ("dryMatter", reading => reading.DryMatterPartsPerMillion),
        ("totalNitrogen", reading => reading.TotalNitrogenMilligramsPerLitre),
        ("ammoniumNitrogen", reading => reading.AmmoniumNitrogenMilligramsPerLitre),
        ("phosphorus", reading => reading.PhosphorusMilligramsPerLitre),
        ("potassium", reading => reading.PotassiumMilligramsPerLitre),
    ];

    /// <summary>A flow of 0 may stay constant.</summary>
    private static readonly (string Name, Func<SpreadReading, long?> Value) Flow = (
        "flow",
        reading => reading.FlowMillilitresPerSecond is 0 ? null : reading.FlowMillilitresPerSecond
    );

    /// <summary>Findings of an applicator whose meter may have a modulus (mL).</summary>
    public static IEnumerable<ReadingFinding> Of(ReadingSeries<SpreadReading> series, long? meterModulus)
    {
        foreach (var found in WrongTotals(series, meterModulus))
            yield return series.Finding(
                FindingKind.Spike,
                "total",
                found.First,
                found.Last,
                found.Strength,
                VoidedPart.Total
            );
        var columns = Contents.Append(Flow).Select(column => (column.Name, Values: series.Of(column.Value))).ToArray();
        foreach (var (name, values) in columns)
        {
            VoidedPart? part = name == Flow.Name ? null : VoidedPart.Composition;
            var others = columns.Where(other => other.Name != name).Select(other => other.Values).ToArray();
            foreach (var found in Stuck(values))
                if (others.Any(other => Moves(other, found.First.Seq, found.Last.Seq)))
                    yield return series.Finding(FindingKind.Stuck, name, found.First, found.Last, found.Strength, part);
            if (part is null)
                continue;
            foreach (var found in Spikes(values, ContentsToEachSide, middle => Math.Max(middle * DeviationShareMin, 1)))
                yield return series.Finding(FindingKind.Spike, name, found.First, found.Last, found.Strength, part);
            if (Drift(values) is { } drift)
                yield return series.Finding(FindingKind.Drift, name, drift.First, drift.Last, drift.Strength, part);
        }
    }

    public static IEnumerable<ReadingFinding> Of(ReadingSeries<LevelReading> series)
    {
        var levels = series.Of(reading => reading.LevelMillimetres);
        foreach (var found in Spikes(levels, CleanedLevels.ToEachSide, _ => CleanedLevels.MinDeviationMillimetres))
            yield return series.Finding(
                FindingKind.Spike,
                "level",
                found.First,
                found.Last,
                found.Strength,
                VoidedPart.Level
            );
    }

    /// <summary>Totals between two others that meet across them, where too much would have run on both sides.</summary>
    private static IEnumerable<(SeriesValue First, SeriesValue Last, FindingStrength Strength)> WrongTotals(
        ReadingSeries<SpreadReading> series,
        long? meterModulus
    )
    {
        (long Seq, SpreadReading Reading)[] known =
        [
            .. series.Readings.Where(known => known.Reading.TotalMillilitres is not null),
        ];
        for (var wrong = 1; wrong < known.Length; wrong++)
        {
            var before = known[wrong - 1];
            if (CanRun(before.Reading, known[wrong].Reading))
                continue;
            for (var back = wrong + 1; back < known.Length && back - wrong <= TotalsWrongMax; back++)
            {
                if (
                    CanRun(known[back - 1].Reading, known[back].Reading) || !CanRun(before.Reading, known[back].Reading)
                )
                    continue;
                yield return (
                    Total(before.Seq + 1, known[wrong].Reading),
                    Total(known[back].Seq - 1, known[back - 1].Reading),
                    new FindingStrength.Jump(
                        back - wrong,
                        before.Reading.TotalMillilitres!.Value,
                        known[wrong].Reading.TotalMillilitres!.Value
                    )
                );
                wrong = back;
                break;
            }
        }

        bool CanRun(in SpreadReading a, in SpreadReading b) =>
            MeterInterval.VolumeMillilitres(
                a.TotalMillilitres,
                b.TotalMillilitres,
                flowA: null,
                flowB: null,
                b.MeasuredAtMilliseconds - a.MeasuredAtMilliseconds,
                meterModulus
            )
                is not null;

        static SeriesValue Total(long seq, in SpreadReading reading) =>
            new(seq, reading.MeasuredAtMilliseconds, reading.TotalMillilitres!.Value);
    }

    private static IEnumerable<(SeriesValue First, SeriesValue Last, FindingStrength Strength)> Stuck(
        SeriesValue[] values
    )
    {
        for (var first = 0; first < values.Length; )
        {
            var beyond = first + 1;
            while (beyond < values.Length && values[beyond].Value.Equals(values[first].Value))
                beyond++;
            if (beyond - first >= StuckReadings)
                yield return (values[first], values[beyond - 1], new FindingStrength.Alike(beyond - first));
            first = beyond;
        }
    }

    private static bool Moves(SeriesValue[] other, long first, long last) =>
        other.Where(value => value.Seq >= first && value.Seq <= last).Select(value => value.Value).Distinct().Count()
        >= OthersMoved;

    private static IEnumerable<(SeriesValue First, SeriesValue Last, FindingStrength Strength)> Spikes(
        SeriesValue[] values,
        int toEachSide,
        Func<double, double> deviationMin
    )
    {
        var far = RunningMedian.Outliers(
            Array.ConvertAll(values, value => value.Value),
            toEachSide,
            FarDeviations,
            deviationMin
        );
        for (var first = 0; first < far.Count; )
        {
            var beyond = first + 1;
            while (beyond < far.Count && values[far[beyond].Place].Seq - values[far[beyond - 1].Place].Seq <= SameRun)
                beyond++;
            var worst = far.Skip(first).Take(beyond - first).MaxBy(one => one.Deviations);
            yield return (
                values[far[first].Place],
                values[far[beyond - 1].Place],
                new FindingStrength.Far(beyond - first, worst.Deviations, values[worst.Place].Value, worst.Median)
            );
            first = beyond;
        }
    }

    private static (SeriesValue First, SeriesValue Last, FindingStrength Strength)? Drift(SeriesValue[] values)
    {
        (double X, double Y)[] parts =
        [
            .. values
                .GroupBy(value => Math.Floor(value.AtMilliseconds / (double)DriftPartMilliseconds))
                .OrderBy(part => part.Key)
                .Select(part => (part.Key, RunningMedian.Of(part.Select(value => value.Value)))),
        ];
        if (parts.Length < DriftPartsMin || RobustTrend.Of(parts) is not { } trend)
            return null;
        var share = trend.Slope * (parts[^1].X - parts[0].X) / RunningMedian.Of(parts.Select(part => part.Y));
        return Math.Abs(share) > DriftShare && Math.Abs(trend.StandardErrors) > DriftErrors
            ? (values[0], values[^1], new FindingStrength.Trend(share, trend.StandardErrors))
            : null;
    }
}
