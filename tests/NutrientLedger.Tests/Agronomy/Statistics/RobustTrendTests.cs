using MathNet.Numerics;
using MathNet.Numerics.Statistics;
using NutrientLedger.Agronomy.Statistics;

namespace NutrientLedger.Tests.Agronomy.Statistics;

public class RobustTrendTests
{
    [Fact]
    public void The_slope_is_the_median_of_all_pairs_and_one_wrong_point_does_not_turn_it()
    {
        (double X, double Y)[] points = [(0, 1), (1, 3.1), (2, 4.9), (4, 9.2), (5, -400), (7, 15)];
        var slopes =
            from later in Enumerable.Range(1, 5)
            from earlier in Enumerable.Range(0, later)
            select (points[later].Y - points[earlier].Y) / (points[later].X - points[earlier].X);

        var trend = RobustTrend.Of(points)!.Value;

        Assert.Equal(slopes.Median(), trend.Slope, 12);
        Assert.InRange(trend.Slope, 1.8, 2.2);
        // Least squares follows the outliers.
        var (_, straight) = Fit.Line([.. points.Select(p => p.X)], [.. points.Select(p => p.Y)]);
        Assert.True(straight < 0);
    }

    [Fact]
    public void Ten_rising_values_are_nearly_four_standard_errors_from_standing_still()
    {
        // M. G. Kendall, Rank Correlation Methods: variance n(n − 1)(2n + 5)/18 = 125, 45 rises, one off (from memory).
        var trend = RobustTrend.Of([.. Enumerable.Range(0, 10).Select(i => ((double)i, i * 3.0))])!.Value;
        Assert.Equal(3, trend.Slope);
        Assert.Equal(44 / Math.Sqrt(125), trend.StandardErrors, 12);
    }

    [Fact]
    public void The_variance_with_ties_is_that_over_all_orders_of_the_values()
    {
        double[] values = [1, 2, 2, 2, 5, 6];
        var counts = Orders(values).Select(Rises).ToArray();
        var rising = RobustTrend.Of([.. values.Select((y, x) => ((double)x, y))])!.Value;

        Assert.Equal((Rises(values) - 1) / Math.Sqrt(counts.PopulationVariance()), rising.StandardErrors, 9);
        Assert.Equal(0, RobustTrend.Of([(0, 4), (1, 4), (2, 4)])!.Value.StandardErrors);
        Assert.Null(RobustTrend.Of([(0, 4), (1, 5)]));
    }

    private static double Rises(double[] values) =>
        (
            from later in Enumerable.Range(1, values.Length - 1)
            from earlier in Enumerable.Range(0, later)
            select Math.Sign(values[later] - values[earlier])
        ).Sum();

    private static IEnumerable<double[]> Orders(double[] values) =>
        values.Length == 0
            ?
            [
                [],
            ]
            : values.SelectMany(
                (first, place) =>
                    Orders([.. values[..place], .. values[(place + 1)..]]).Select(rest => (double[])[first, .. rest])
            );
}
