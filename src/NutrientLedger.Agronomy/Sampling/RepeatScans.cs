using NutrientLedger.Agronomy.Statistics;

namespace NutrientLedger.Agronomy.Sampling;

/// <summary>
/// A summary of repeat scans or sub-samples of one material: count, mean and standard deviation (divisor n − 1). Both
/// are in the unit of the scans. The scans are taken as independent and roughly normal.
/// </summary>
public sealed record RepeatScans(int Count, double Mean, double StandardDeviation)
{
    /// <exception cref="ArgumentException">Fewer than two scans, or a scan that is not finite.</exception>
    public static RepeatScans Of(IReadOnlyCollection<double> scans)
    {
        if (scans.Count < 2)
            throw new ArgumentException("Repeat scans need at least two readings; take another scan.", nameof(scans));
        if (!scans.All(double.IsFinite))
            throw new ArgumentException("A repeat scan is not a finite number; leave it out.", nameof(scans));
        var mean = scans.Average();
        var squares = scans.Sum(scan => (scan - mean) * (scan - mean));
        return new(scans.Count, mean, Math.Sqrt(squares / (scans.Count - 1)));
    }

    /// <summary>Standard deviation as a share of the absolute mean; null when the mean is 0.</summary>
    public double? CoefficientOfVariation => Mean == 0 ? null : StandardDeviation / Math.Abs(Mean);

    /// <summary>Standard error of the mean, s/√n.</summary>
    public double StandardError => StandardDeviation / Math.Sqrt(Count);

    /// <summary>Half the width of the confidence interval around the mean, t(n − 1)·s/√n.</summary>
    public double ConfidenceHalfWidth(double confidence) => Quantiles.TwoSidedT(confidence, Count - 1) * StandardError;

    /// <summary>
    /// The smallest number of scans (at least two) whose mean would lie within ± the half-width at this confidence. It
    /// assumes that they vary as these do: t(n − 1)·s/√n ≤ half-width.
    /// </summary>
    public long ScansNeeded(double wantedHalfWidth, double confidence)
    {
        if (!(wantedHalfWidth > 0))
            throw new ArgumentOutOfRangeException(
                nameof(wantedHalfWidth),
                wantedHalfWidth,
                "Give the wanted precision as a half-width above 0, in the unit of the scans."
            );
        // The normal quantile is below every t quantile, so no smaller number is enough. From there a few steps reach
        // the answer.
        var ratio = StandardDeviation / wantedHalfWidth;
        var start = Math.Ceiling(Math.Pow(Quantiles.TwoSidedNormal(confidence) * ratio, 2));
        var count = (long)Math.Clamp(start, 2, ScansMax);
        while (count < ScansMax && Quantiles.TwoSidedT(confidence, count - 1) * ratio > Math.Sqrt(count))
            count++;
        return count;
    }

    /// <summary>The largest answer. A precision that needs more scans gives this number.</summary>
    public const long ScansMax = 1_000_000_000;
}
