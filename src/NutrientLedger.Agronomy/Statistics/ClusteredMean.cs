namespace NutrientLedger.Agronomy.Statistics;

/// <summary>
/// The mean of values that come in clusters, such as the samples of one day, with the cluster as a random effect.
/// Values have any one unit. The model is value = mean + cluster + rest. Its two variances come from restricted
/// maximum likelihood (REML). Source: the likelihood of the one-way random model, Searle, Casella and McCulloch,
/// Variance Components, 1992, chapter 3 (from memory; checked against published examples in the tests).
/// </summary>
public sealed record ClusteredMean
{
    // The step of a golden section, and so many steps that the interval falls below what a double can tell apart.
    private const double Golden = 0.6180339887498949;
    private const int Steps = 60;

    private readonly (int Count, double Mean)[] clusters;

    private ClusteredMean(IReadOnlyCollection<IReadOnlyCollection<double>> values)
    {
        clusters = [.. values.Select(cluster => (cluster.Count, cluster.Average()))];
        Count = clusters.Sum(cluster => cluster.Count);
        WithinSquares = values.Zip(clusters, (cluster, it) => cluster.Sum(value => Square(value - it.Mean))).Sum();
        var ofAll = clusters.Sum(cluster => cluster.Count * cluster.Mean) / Count;
        BetweenSquares = clusters.Sum(cluster => cluster.Count * Square(cluster.Mean - ofAll));
        var ratio = WithinSquares > 0 ? Ratio() : double.PositiveInfinity;
        Mean = MeanAt(ratio);
        (BetweenVariance, WithinVariance) = Variances(ratio);
        StandardError = Math.Sqrt(VarianceOfMean(ratio));
    }

    /// <exception cref="ArgumentException">
    /// Fewer than two clusters, an empty cluster, or a value that is not finite.
    /// </exception>
    public static ClusteredMean Of(IReadOnlyCollection<IReadOnlyCollection<double>> values)
    {
        if (values.Count < 2 || values.Any(cluster => cluster.Count == 0))
            throw new ArgumentException("A clustered mean needs two clusters that have values; add another cluster.");
        if (!values.All(cluster => cluster.All(double.IsFinite)))
            throw new ArgumentException("A value is not a finite number; leave it out.");
        return new(values);
    }

    /// <summary>Number of values.</summary>
    public int Count { get; }

    /// <summary>Number of clusters.</summary>
    public int Clusters => clusters.Length;

    /// <summary>Sum of squares between clusters, with clusters − 1 degrees of freedom.</summary>
    public double BetweenSquares { get; }

    /// <summary>Sum of squares within clusters, with values − clusters degrees of freedom.</summary>
    public double WithinSquares { get; }

    /// <summary>
    /// Variance between clusters by REML. It is 0 where clusters differ less than chance would have it.
    /// </summary>
    public double BetweenVariance { get; }

    /// <summary>Variance within clusters by REML.</summary>
    public double WithinVariance { get; }

    /// <summary>The cluster means, weighted by 1/(between variance + within variance/values of the cluster).</summary>
    public double Mean { get; }

    /// <summary>One over the root of the sum of those weights.</summary>
    public double StandardError { get; }

    /// <summary>
    /// Clusters − 1: exact where all clusters are of one size, and never more elsewhere (common practice).
    /// </summary>
    public int DegreesOfFreedom => Clusters - 1;

    /// <summary>
    /// The largest mean that chance explains at a level (such as 0.05, two-sided): t(clusters − 1)·error.
    /// </summary>
    public double Limit(double level) => Quantiles.TwoSidedT(1 - level, DegreesOfFreedom) * StandardError;

    public bool IsSignificant(double level) => Math.Abs(Mean) > Limit(level);

    /// <summary>Between variance over within variance where the restricted likelihood is greatest.</summary>
    private double Ratio()
    {
        // Sought on ratio/(1 + ratio), which runs from 0 to 1.
        var (low, high) = (0.0, 1.0);
        var (left, right) = (1 - Golden, Golden);
        var (atLeft, atRight) = (Deviance(left), Deviance(right));
        for (var step = 0; step < Steps; step++)
            if (atLeft <= atRight)
            {
                (high, right, atRight) = (right, left, atLeft);
                left = high - Golden * (high - low);
                atLeft = Deviance(left);
            }
            else
            {
                (low, left, atLeft) = (left, right, atRight);
                right = low + Golden * (high - low);
                atRight = Deviance(right);
            }
        var best = (low + high) / 2;
        return Deviance(0) <= Deviance(best) ? 0 : best / (1 - best);
    }

    /// <summary>Minus twice the restricted log likelihood, but for a constant.</summary>
    private double Deviance(double share)
    {
        var ratio = share / (1 - share);
        var (logarithms, weights) = (0.0, 0.0);
        foreach (var (count, _) in clusters)
        {
            logarithms += Math.Log(1 + count * ratio);
            weights += count / (1 + count * ratio);
        }
        return (Count - 1) * Math.Log(Residual(ratio)) + logarithms + Math.Log(weights);
    }

    private double Residual(double ratio)
    {
        var mean = MeanAt(ratio);
        var between = 0.0;
        foreach (var (count, own) in clusters)
            between += count / (1 + count * ratio) * Square(own - mean);
        return (WithinSquares + between) / (Count - 1);
    }

    private double MeanAt(double ratio)
    {
        if (double.IsInfinity(ratio))
            return clusters.Average(cluster => cluster.Mean);
        var (sum, weights) = (0.0, 0.0);
        foreach (var (count, own) in clusters)
        {
            var weight = count / (1 + count * ratio);
            sum += weight * own;
            weights += weight;
        }
        return sum / weights;
    }

    private (double Between, double Within) Variances(double ratio)
    {
        if (double.IsInfinity(ratio))
            return (clusters.Sum(cluster => Square(cluster.Mean - Mean)) / (Clusters - 1), 0);
        var within = Residual(ratio);
        return (ratio * within, within);
    }

    private double VarianceOfMean(double ratio) =>
        double.IsInfinity(ratio)
            ? BetweenVariance / Clusters
            : WithinVariance / clusters.Sum(cluster => cluster.Count / (1 + cluster.Count * ratio));

    private static double Square(double value) => value * value;
}
