using CsCheck;
using MathNet.Numerics.LinearRegression;
using NutrientLedger.Agronomy.Statistics;

namespace NutrientLedger.Tests.Agronomy.Statistics;

/// <summary>Deming regression against published examples, each with its source beside it.</summary>
public sealed class DemingFitTests
{
    // NCSS chapter 303 (docslib.org/doc/11568838), as tested by the R package SimplyAgree, "NCSS 303-26".
    private static readonly double[] X = [7, 8.3, 10.5, 9, 5.1, 8.2, 10.2, 10.3, 7.1, 5.9];
    private static readonly double[] Y = [7.9, 8.2, 9.6, 9, 6.5, 7.3, 10.2, 10.6, 6.3, 5.2];

    [Fact]
    public void Ten_points_give_the_published_line_and_standard_errors()
    {
        var line = Fit(X, Y, 4);

        Assert.Equal(-0.0897, line.Intercept, 5e-5);
        Assert.Equal(1.0012, line.Slope, 5e-5);
        Assert.Equal(1.7220, line.InterceptStandardError, 5e-5);
        Assert.Equal(0.1872, line.SlopeStandardError, 5e-5);
        // The covariance and the joint statistic of intercept 0 and slope 1: derived from the data.
        Assert.Equal(-0.319299, line.Covariance, 1e-6);
        Assert.Equal(0.112569, Joint(line), 1e-6);
        Assert.Equal(0.945270, Math.Exp(-Joint(line) / 2), 1e-6);
    }

    [Theory]
    [InlineData(1, 0.390925, 0.942289, 1.846775, 0.202803)]
    [InlineData(2, 0.128475, 0.974452, 1.790718, 0.195657)]
    public void Other_ratios_of_error_variances_give_other_lines(double ratio, double a, double b, double ua, double ub)
    {
        // Derived from the same data.
        var line = Fit(X, Y, ratio);
        Assert.Equal(a, line.Intercept, 1e-6);
        Assert.Equal(b, line.Slope, 1e-6);
        Assert.Equal(ua, line.InterceptStandardError, 1e-6);
        Assert.Equal(ub, line.SlopeStandardError, 1e-6);
    }

    [Theory]
    [InlineData(1.00, -2.24549624285e-6, 1.02538496851, 0.89984994312, 1.15091999391)]
    [InlineData(1.21, -2.55630498873e-6, 1.03192038988, 0.90401588590, 1.15982489387)]
    public void Fifty_small_values_give_the_line_and_interval_of_another_program(
        double ratio,
        double intercept,
        double slope,
        double low,
        double high
    )
    {
        var line = Fit(SmallValues.X, SmallValues.Y, ratio);
        Assert.Equal(intercept, line.Intercept, 1e-15);
        Assert.Equal(slope, line.Slope, 1e-10);
        Assert.Equal(low, line.Slope - line.SlopeLimit(0.05), 1e-7);
        Assert.Equal(high, line.Slope + line.SlopeLimit(0.05), 1e-7);
    }

    [Fact]
    public void A_steep_line_is_far_from_equality()
    {
        // Data of a test of the R package deming; answers derived from the data.
        double[] x = [.. Enumerable.Range(1, 10)];
        double[] errors = [0, -1, 2, -3, 4, -5, 6, -7, 8, -5];
        var line = Fit(x, [.. x.Zip(errors, (at, error) => 2.3 * at + error / 2)], 1);

        Assert.Equal(-1.328592, line.Intercept, 1e-6);
        Assert.Equal(2.532471, line.Slope, 1e-6);
        Assert.Equal(57.5932, Joint(line), 1e-4);
    }

    [Fact]
    public void Leaving_out_whole_clusters_turns_the_verdict_around()
    {
        // Derived from the cardiac data. Single points left out: p 1.8e-6. Whole subjects: F(2, 10), p 0.0846.
        var subjects = CardiacOutput
            .Ventriculography.Zip(
                CardiacOutput.Impedance,
                (x, y) => x.Zip(y, (one, other) => new WeightedPoint(one, other)).ToArray()
            )
            .ToArray();
        var byPair = DemingFit.Of([.. subjects.SelectMany(points => points).Select(point => new[] { point })], 1)!;
        var bySubject = DemingFit.Of(subjects, 1)!;

        Assert.Equal(-0.381591, byPair.Intercept, 1e-6);
        Assert.Equal(0.958570, byPair.Slope, 1e-6);
        Assert.Equal(0.516700, byPair.InterceptStandardError, 1e-6);
        Assert.Equal(0.103748, byPair.SlopeStandardError, 1e-6);
        Assert.Equal(26.506, Joint(byPair), 1e-3);
        Assert.Equal(byPair.Intercept, bySubject.Intercept, 1e-12);
        Assert.Equal(byPair.Slope, bySubject.Slope, 1e-12);
        Assert.Equal(1.165370, bySubject.InterceptStandardError, 1e-6);
        Assert.Equal(0.244026, bySubject.SlopeStandardError, 1e-6);
        Assert.Equal(6.3863, Joint(bySubject), 1e-4);
        // P(F(2, v) > f) is (1 + 2·f/v)^(−v/2).
        Assert.Equal(0.0846, Math.Pow(1 + Joint(bySubject) / 10, -5), 5e-5);
    }

    [Fact]
    public void The_ends_of_the_ratio_are_the_two_least_squares_lines_and_all_others_lie_between() =>
        Gen.Select(Gen.Double[1, 8], Gen.Double[-1, 1])
            .Array[5, 30]
            .Where(points => points.Max(point => point.Item1) - points.Min(point => point.Item1) > 3)
            .Sample(points =>
            {
                double[] x = [.. points.Select(point => point.Item1)],
                    y = [.. points.Select(point => point.Item1 + point.Item2)];
                var (_, slope) = SimpleRegression.Fit(x, y);
                var (_, inverse) = SimpleRegression.Fit(y, x);
                Assert.Equal(slope, Fit(x, y, 0).Slope, 1e-9);
                Assert.Equal(1 / inverse, Fit(x, y, double.PositiveInfinity).Slope, 1e-6);
                Assert.InRange(Fit(x, y, 1).Slope, slope - 1e-9, 1 / inverse + 1e-6);
            });

    [Fact]
    public void Weights_count_as_so_many_points()
    {
        WeightedPoint[][] once =
        [
            [new(1, 1)],
            [new(2, 2.5, 2)],
            [new(3, 2.5)],
            [new(4, 4.5)],
        ];
        WeightedPoint[][] twice =
        [
            [new(1, 1)],
            [new(2, 2.5), new(2, 2.5)],
            [new(3, 2.5)],
            [new(4, 4.5)],
        ];

        Assert.Equal(DemingFit.Of(twice, 1)!.Slope, DemingFit.Of(once, 1)!.Slope, 1e-12);
        Assert.Equal(DemingFit.Of(twice, 1)!.SlopeStandardError, DemingFit.Of(once, 1)!.SlopeStandardError, 1e-12);
    }

    [Fact]
    public void Points_that_give_no_line_without_one_cluster_give_none()
    {
        Assert.Null(
            DemingFit.Of(
                [
                    [new(1, 1)],
                    [new(1, 1)],
                    [new(2, 3)],
                ],
                1
            )
        );
        Assert.Throws<ArgumentException>(() =>
            DemingFit.Of(
                [
                    [new(1, 1)],
                    [new(2, 3)],
                ],
                1
            )
        );
        Assert.Throws<ArgumentException>(() => Fit(X, Y, -1));
    }

    /// <summary>T² of intercept 0 and slope 1, from the covariances (R package SimplyAgree, joint_test).</summary>
    private static double Joint(DemingFit line)
    {
        var (a, b) = (line.Intercept, line.Slope - 1);
        var (va, vb) = (Math.Pow(line.InterceptStandardError, 2), Math.Pow(line.SlopeStandardError, 2));
        var c = line.Covariance;
        return (vb * a * a - 2 * c * a * b + va * b * b) / (va * vb - c * c);
    }

    private static DemingFit Fit(double[] x, double[] y, double ratio) =>
        DemingFit.Of([.. x.Zip(y, (one, other) => new[] { new WeightedPoint(one, other) })], ratio)!;
}
