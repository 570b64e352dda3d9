using NutrientLedger.Agronomy.Sampling;
using NutrientLedger.Agronomy.Statistics;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Sampling;

/// <summary>
/// A correction of a sensor's readings: slope × reading + intercept (in the sensor's unit). With standard errors where
/// the pairs give them.
/// </summary>
public sealed record ProposedCalibration(
    double Slope,
    double Intercept,
    double? SlopeStandardError,
    double? InterceptStandardError
);

/// <summary>
/// A sensor against the laboratory over all samples that have a counterpart. The days of the samples are what counts,
/// because samples of one day share an error. A line is proposed where its slope differs from 1 by more than chance.
/// Otherwise a bias alone is proposed, where it is more than chance. A sound sensor is corrected with at most the
/// probability <see cref="Level"/>.
/// </summary>
public sealed record SensorCheck
{
    /// <summary>Chance may mislead once in twenty, bias and slope together (the common choice).</summary>
    public const double Level = 0.05;

    /// <summary>
    /// Fewer days than these propose nothing. With two days the t of one degree of freedom asks for a bias of 12.7
    /// standard errors, and one day cannot be tested.
    /// </summary>
    public const int DaysMin = 3;

    /// <summary>Fewer days than these test no slope. With four, two degrees of freedom are left for a line.</summary>
    public const int SlopeDaysMin = 5;

    /// <summary>Fewer pairs than these test no slope. Common practice, no source.</summary>
    public const int SlopePairsMin = 10;

    /// <summary>
    /// Fewer days than these count as few: by simulation (README) a bias of 3 % of the content mostly stays hidden.
    /// </summary>
    public const int FewDaysBelow = 10;

    /// <summary>
    /// Error variance of the sensor over that of the laboratory, for the line. Nothing better is known (common
    /// practice, no source), so a slope must be significant at any other ratio too.
    /// </summary>
    public const double ErrorVarianceRatio = 1;

    private readonly IReadOnlyList<DemingFit> anyRatio = [];

    private SensorCheck(IReadOnlyList<SamplePair> pairs, FarmCalendar calendar)
    {
        Pairs = pairs;
        var numbers = SampleDays.Of([.. pairs.Select(pair => pair.Window)], calendar);
        SamplePair[][] days =
        [
            .. pairs.Zip(numbers).GroupBy(it => it.Second, it => it.First).Select(day => day.ToArray()),
        ];
        Days = days.Length;
        Offset = Days < DaysMin ? null : ClusteredMean.Of([.. days.Select(day => day.Select(Difference).ToArray())]);
        Bias = pairs.Count == 0 ? null : Offset?.Mean ?? pairs.Average(Difference);
        var differ =
            pairs.Count >= LaboratoryComparison.PairsMin
            && pairs.Select(pair => pair.Laboratory).Distinct().Count() > 1
            && pairs.Select(pair => pair.Sensor).Distinct().Count() > 1;
        Comparison = differ
            ? LaboratoryComparison.Of([.. pairs.Select(pair => new LaboratoryPair(pair.Laboratory, pair.Sensor))])
            : null;
        if (differ && Days >= SlopeDaysMin && pairs.Count >= SlopePairsMin)
        {
            // Each day weighs the same, however many jars were filled on it.
            WeightedPoint[][] points =
            [
                .. days.Select(day =>
                    day.Select(pair => new WeightedPoint(pair.Sensor, pair.Laboratory, 1.0 / day.Length)).ToArray()
                ),
            ];
            Line = DemingFit.Of(points, ErrorVarianceRatio);
            // All other ratios lie between the two regressions.
            double[] ends = [0, double.PositiveInfinity];
            anyRatio = [.. ends.Select(ratio => DemingFit.Of(points, ratio)).Append(Line).OfType<DemingFit>()];
        }
        Proposed = Proposal();
    }

    public IReadOnlyList<SamplePair> Pairs { get; }

    /// <summary>Number of days that the pairs cover.</summary>
    public int Days { get; }

    /// <summary>
    /// Mean of laboratory minus sensor: by days from <see cref="DaysMin"/> days up, else of the pairs. Null without
    /// pairs.
    /// </summary>
    public double? Bias { get; }

    /// <summary>The bias with the day as a random effect. Null below <see cref="DaysMin"/> days.</summary>
    public ClusteredMean? Offset { get; }

    /// <summary>Null with fewer than three pairs, or where all laboratory or all sensor values are alike.</summary>
    public LaboratoryComparison? Comparison { get; }

    /// <summary>
    /// Laboratory over sensor by Deming regression. Null with too few days or pairs for a slope, or where without one
    /// of the days there is no line.
    /// </summary>
    public DemingFit? Line { get; }

    /// <summary>Null where the pairs can be tested, but differ by no more than chance, or cannot be tested.</summary>
    public ProposedCalibration? Proposed { get; }

    /// <summary>
    /// The readings that the proposal would correct, against the sensor's range in the pairs. Null where nobody read
    /// them.
    /// </summary>
    public ReadingsOutside? Readings { get; init; }

    public bool ProposesSlope => Proposed?.SlopeStandardError is not null;

    /// <summary>
    /// The level at which the bias is tested. Where a slope is tested too, each has half of <see cref="Level"/>.
    /// </summary>
    public double BiasLevel => Line is null ? Level : Level / 2;

    /// <summary>
    /// Whether the slope differs from 1 by more than chance, whatever the ratio of errors. Null untested.
    /// </summary>
    public bool? SlopeIsSignificant =>
        Line is null
            ? null
            : anyRatio.Count == 3
                && anyRatio.All(it => Math.Abs(it.Slope - 1) > it.SlopeLimit(Level / 2))
                && anyRatio.Select(it => it.Slope > 1).Distinct().Count() == 1;

    public static SensorCheck Of(IReadOnlyList<SamplePair> pairs, FarmCalendar calendar) => new(pairs, calendar);

    /// <summary>The check with the readings that the proposal would correct.</summary>
    public SensorCheck Against(SensorHours readings) =>
        this with
        {
            Readings = readings.Outside(Pairs.Min(pair => pair.Sensor), Pairs.Max(pair => pair.Sensor)),
        };

    private static double Difference(SamplePair pair) => pair.Laboratory - pair.Sensor;

    private ProposedCalibration? Proposal()
    {
        if (Comparison is null || Offset is null)
            return null;
        if (Line is { Slope: > 0 } line && SlopeIsSignificant == true)
            return new(line.Slope, line.Intercept, line.SlopeStandardError, line.InterceptStandardError);
        return Offset.IsSignificant(BiasLevel) ? new(1, Offset.Mean, null, Offset.StandardError) : null;
    }
}
