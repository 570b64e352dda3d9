using NutrientLedger.Agronomy.Sampling;

namespace NutrientLedger.Ledger.Sampling;

/// <summary>
/// The values of laboratory and sensor for one sample, in the sensor's unit (mg/L, or ppm for dry matter).
/// </summary>
public sealed record SamplePair(SampledWindow Window, double Laboratory, double Sensor, PassedContent Passed);

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
/// A sensor against the laboratory over all samples that have a counterpart. From <see cref="SlopePairsMin"/> pairs up
/// a slope is proposed where it differs from 1 by more than chance. Otherwise a bias alone is proposed, where it is
/// more than chance or there are too few pairs to judge.
/// </summary>
public sealed record SensorCheck
{
    /// <summary>Chance may mislead once in twenty (the common choice).</summary>
    public const double Confidence = 0.95;

    /// <summary>Fewer pairs than these give a bias only. Common practice, no source.</summary>
    public const int SlopePairsMin = 10;

    /// <summary>
    /// Fewer pairs than these count as few: a bias below 0.47 SEP stays hidden in them (from t, see
    /// LaboratoryComparison). Common practice, no source.
    /// </summary>
    public const int FewBelow = 20;

    private SensorCheck(IReadOnlyList<SamplePair> pairs)
    {
        Pairs = pairs;
        LaboratoryPair[] compared = [.. pairs.Select(pair => new LaboratoryPair(pair.Laboratory, pair.Sensor))];
        Bias = compared.Length == 0 ? null : compared.Average(pair => pair.Laboratory - pair.Sensor);
        var differ =
            compared.Length >= LaboratoryComparison.PairsMin
            && compared.Select(pair => pair.Laboratory).Distinct().Count() > 1
            && compared.Select(pair => pair.Sensor).Distinct().Count() > 1;
        Comparison = differ ? LaboratoryComparison.Of(compared) : null;
        Proposed = Proposal();
    }

    public IReadOnlyList<SamplePair> Pairs { get; }

    /// <summary>Mean of laboratory minus sensor. Null without pairs.</summary>
    public double? Bias { get; }

    /// <summary>Null where there are fewer than three pairs, or all are alike.</summary>
    public LaboratoryComparison? Comparison { get; }

    /// <summary>Null where there are no pairs, or the difference can be chance.</summary>
    public ProposedCalibration? Proposed { get; }

    public bool ProposesSlope => Proposed?.SlopeStandardError is not null;

    public static SensorCheck Of(IReadOnlyList<SamplePair> pairs) => new(pairs);

    /// <summary>The pairs whose laboratory value the sensor never read in any of these samples.</summary>
    public IEnumerable<SamplePair> OutsideRange() =>
        Comparison is null
            ? []
            : Pairs.Where(pair =>
                pair.Laboratory < Pairs.Min(other => other.Sensor) || pair.Laboratory > Pairs.Max(other => other.Sensor)
            );

    private ProposedCalibration? Proposal() =>
        (Bias, Comparison) switch
        {
            (null, _) => null,
            ({ } bias, null) => new(1, bias, null, null),
            (_, { Count: >= SlopePairsMin, Slope: > 0 } it) when it.SlopeIsSignificant(Confidence) => new(
                it.Slope,
                it.Intercept,
                it.SlopeStandardError,
                it.InterceptStandardError
            ),
            ({ } bias, { } it) => it.BiasIsSignificant(Confidence) ? new(1, bias, null, it.BiasStandardError) : null,
        };
}
