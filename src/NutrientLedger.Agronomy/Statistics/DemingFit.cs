namespace NutrientLedger.Agronomy.Statistics;

/// <summary>A point of a regression. Points of a larger weight count for more; weights are above 0.</summary>
public readonly record struct WeightedPoint(double X, double Y, double Weight = 1);

/// <summary>
/// A straight line through points that have errors in both coordinates (Deming regression). The standard errors come
/// from leaving out one cluster after another (jackknife), because points of one cluster share an error. With u and q
/// the weighted sums of squares of x and y, p that of products and r the ratio of error variances:
/// slope = [(r·q − u) + √((u − r·q)² + 4·r·p²)]/(2·r·p). Sources: Linnet, Clin. Chem. 39, 1993, pp. 424-432, and the
/// examples named in the tests.
/// </summary>
public sealed record DemingFit
{
    private DemingFit(Line whole, IReadOnlyList<Line> without)
    {
        Clusters = without.Count;
        (Slope, Intercept) = (whole.Slope, whole.Intercept);
        var (slope, intercept) = (without.Average(it => it.Slope), without.Average(it => it.Intercept));
        SlopeStandardError = Math.Sqrt(Spread(it => Square(it.Slope - slope)));
        InterceptStandardError = Math.Sqrt(Spread(it => Square(it.Intercept - intercept)));
        Covariance = Spread(it => (it.Slope - slope) * (it.Intercept - intercept));

        // The variance of the pseudo-values k·whole − (k − 1)·without, over their number k.
        double Spread(Func<Line, double> product) => without.Sum(product) * (Clusters - 1) / Clusters;
    }

    /// <summary>
    /// The line through all points. The ratio is the error variance of x over that of y: 0 where x has no error (least
    /// squares of y on x), infinity where y has none. Null where the points, or those without one of the clusters,
    /// give no line.
    /// </summary>
    /// <exception cref="ArgumentException">Fewer than three clusters, or a ratio below 0.</exception>
    public static DemingFit? Of(IReadOnlyList<IReadOnlyCollection<WeightedPoint>> clusters, double errorVarianceRatio)
    {
        if (clusters.Count < 3)
            throw new ArgumentException("A line with standard errors needs at least three clusters; add clusters.");
        if (!(errorVarianceRatio >= 0))
            throw new ArgumentException("Give the ratio of error variances, x over y, as 0 or more.");
        // Sums are taken about one point in the middle: differences of large squares would lose digits.
        var origin = clusters.SelectMany(points => points).First();
        Sums[] each = [.. clusters.Select(points => Sums.Of(points, origin))];
        var all = each.Aggregate((left, right) => left + right);
        var whole = all.Line(errorVarianceRatio, origin);
        Line[] without = [.. each.Select(one => (all - one).Line(errorVarianceRatio, origin))];
        return without.Append(whole).All(it => double.IsFinite(it.Slope)) ? new(whole, without) : null;
    }

    /// <summary>Number of clusters left out in turn.</summary>
    public int Clusters { get; }

    public double Slope { get; }

    /// <summary>In the unit of y.</summary>
    public double Intercept { get; }

    public double SlopeStandardError { get; }

    public double InterceptStandardError { get; }

    /// <summary>Covariance of intercept and slope.</summary>
    public double Covariance { get; }

    /// <summary>Clusters − 2: of a line.</summary>
    public int DegreesOfFreedom => Clusters - 2;

    /// <summary>Half the width of the confidence interval of the slope at a level (such as 0.05, two-sided).</summary>
    public double SlopeLimit(double level) => Quantiles.TwoSidedT(1 - level, DegreesOfFreedom) * SlopeStandardError;

    private static double Square(double value) => value * value;

    private readonly record struct Line(double Slope, double Intercept);

    private readonly record struct Sums(double Weight, double X, double Y, double XX, double YY, double XY)
    {
        public static Sums Of(IEnumerable<WeightedPoint> points, WeightedPoint origin)
        {
            var sums = new Sums();
            foreach (var point in points)
            {
                var (x, y, weight) = (point.X - origin.X, point.Y - origin.Y, point.Weight);
                sums += new Sums(weight, weight * x, weight * y, weight * x * x, weight * y * y, weight * x * y);
            }
            return sums;
        }

        public Line Line(double ratio, WeightedPoint origin)
        {
            var (u, q, p) = (XX - X * X / Weight, YY - Y * Y / Weight, XY - X * Y / Weight);
            var slope = double.IsInfinity(ratio) ? q / p : Slope(ratio, u, q, p);
            return new(slope, origin.Y + Y / Weight - slope * (origin.X + X / Weight));
        }

        /// <summary>The formula above, where needed in the form that a ratio of 0 does not divide by.</summary>
        private static double Slope(double ratio, double u, double q, double p)
        {
            var difference = ratio * q - u;
            var root = Math.Sqrt(difference * difference + 4 * ratio * p * p);
            return difference > 0 ? (difference + root) / (2 * ratio * p) : 2 * p / (root - difference);
        }

        public static Sums operator +(Sums left, Sums right) =>
            new(
                left.Weight + right.Weight,
                left.X + right.X,
                left.Y + right.Y,
                left.XX + right.XX,
                left.YY + right.YY,
                left.XY + right.XY
            );

        public static Sums operator -(Sums left, Sums right) =>
            new(
                left.Weight - right.Weight,
                left.X - right.X,
                left.Y - right.Y,
                left.XX - right.XX,
                left.YY - right.YY,
                left.XY - right.XY
            );
    }
}
