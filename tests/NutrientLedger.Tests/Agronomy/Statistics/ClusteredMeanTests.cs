using CsCheck;
using NutrientLedger.Agronomy.Statistics;

namespace NutrientLedger.Tests.Agronomy.Statistics;

/// <summary>A mean of clustered values against published examples, each with its source beside it.</summary>
public sealed class ClusteredMeanTests
{
    // GUM, JCGM 100:2008, annex H.5, table H.9: ten days, five readings a day; mean − 10 V and s in µV.
    private static readonly double[] DailyMeans = [172, 116, 13, 144, 106, 31, 60, 125, 163, 41];
    private static readonly double[] DailyDeviations = [60, 77, 111, 101, 67, 93, 80, 73, 88, 86];

    // Box and Tiao, Bayesian Inference in Statistical Analysis, 1973, section 5.1.2: a set made to give a negative
    // variance (data from memory; mean and residual as in the manual of the R package lme4).
    private static readonly double[][] Constructed =
    [
        [7.298, 3.846, 2.434, 9.566, 7.990],
        [5.220, 6.556, 0.608, 11.788, -0.892],
        [0.110, 10.386, 13.434, 5.510, 8.166],
        [2.212, 4.852, 7.092, 9.288, 4.980],
        [0.282, 9.014, 4.458, 9.446, 7.198],
        [1.722, 4.782, 8.106, 0.758, 3.758],
    ];

    // NIST Statistical Reference Datasets, SiRstv, itl.nist.gov/div898/strd/anova/SiRstv.html.
    private static readonly double[][] SiliconResistivity =
    [
        [196.3052, 196.1240, 196.1890, 196.2569, 196.3403],
        [196.3042, 196.3825, 196.1669, 196.3257, 196.0422],
        [196.1303, 196.2005, 196.2889, 196.0343, 196.1811],
        [196.2795, 196.1748, 196.1494, 196.1485, 195.9885],
        [196.2119, 196.1051, 196.1850, 196.0052, 196.2090],
    ];

    [Fact]
    public void The_GUMs_ten_days_have_the_published_uncertainty_with_nine_degrees_of_freedom()
    {
        // Five values of that mean and deviation: the example prints no single ones.
        var root = Math.Sqrt(2.5);
        var voltage = ClusteredMean.Of([
            .. DailyMeans.Zip(
                DailyDeviations,
                (mean, s) => new[] { -2.0, -1, 0, 1, 2 }.Select(z => mean + s * z / root).ToArray()
            ),
        ]);

        Assert.Equal(97, voltage.Mean, 0.5);
        Assert.Equal(2.25, voltage.BetweenSquares / 9 / (voltage.WithinSquares / 40), 0.02);
        Assert.Equal(85, Math.Sqrt(voltage.WithinVariance), 0.5);
        Assert.Equal(43, Math.Sqrt(voltage.BetweenVariance), 0.5);
        Assert.Equal((18, 9), (Math.Round(voltage.StandardError), voltage.DegreesOfFreedom));
        // Without the day it would be s/√50: 13 µV.
        Assert.Equal(13, Math.Sqrt((voltage.BetweenSquares + voltage.WithinSquares) / 49 / 50), 0.5);
    }

    [Fact]
    public void Clusters_that_differ_less_than_chance_have_no_variance_and_the_larger_standard_error()
    {
        var mean = ClusteredMean.Of(Constructed);

        Assert.Equal(5.6656, mean.Mean, 1e-9);
        Assert.Equal((0, 13.8063), (mean.BetweenVariance, Math.Round(mean.WithinVariance, 4)));
        Assert.Equal(0.678388, mean.StandardError, 1e-6);
        // From the cluster means alone it would be 0.527141.
        Assert.Equal(0.527141, Math.Sqrt(mean.BetweenSquares / 5 / 30), 1e-6);
    }

    [Fact]
    public void Sums_of_squares_are_those_certified_by_NIST()
    {
        var wafers = ClusteredMean.Of(SiliconResistivity);

        Assert.Equal(5.11462616e-2, wafers.BetweenSquares, 1e-10);
        Assert.Equal(2.16636560e-1, wafers.WithinSquares, 1e-9);
        Assert.Equal(1.18046237440255, wafers.BetweenSquares / 4 / (wafers.WithinSquares / 20), 1e-9);
        Assert.Equal(0.104076068334656, Math.Sqrt(wafers.WithinSquares / 20), 1e-11);
    }

    [Fact]
    public void Clusters_of_different_size_give_the_REML_estimates_of_the_cardiac_data()
    {
        // Sums of squares, REML estimates and error recomputed outside this program (derived from the data).
        var cardiac = ClusteredMean.Of(CardiacOutput.Differences);

        Assert.Equal((60, 12), (cardiac.Count, cardiac.Clusters));
        Assert.Equal(4.209086, cardiac.BetweenSquares / 11, 1e-6);
        Assert.Equal(0.170714, cardiac.WithinSquares / 48, 1e-6);
        Assert.Equal(0.872806, cardiac.BetweenVariance, 1e-5);
        Assert.Equal(0.170802, cardiac.WithinVariance, 1e-6);
        Assert.Equal(0.704521, cardiac.Mean, 1e-6);
        Assert.Equal(0.275159, cardiac.StandardError, 1e-6);
        // t(11) at 5 % is 2.201 (any t table). With Satterthwaite's 10.948 degrees the interval is 0.0986 to 1.3105.
        Assert.Equal(2.201 * 0.275159, cardiac.Limit(0.05), 1e-4);
        Assert.True(cardiac.IsSignificant(0.05));
    }

    [Fact]
    public void One_value_a_cluster_is_the_ordinary_mean() =>
        Gen.Double[-5, 5]
            .Array[3, 12]
            .Where(values => values.Max() - values.Min() > 0.01)
            .Sample(values =>
            {
                var mean = ClusteredMean.Of([.. values.Select(value => new[] { value })]);
                var s = Math.Sqrt(values.Sum(value => Math.Pow(value - values.Average(), 2)) / (values.Length - 1));
                Assert.Equal(values.Average(), mean.Mean, 1e-12);
                Assert.Equal(s / Math.Sqrt(values.Length), mean.StandardError, 1e-12);
            });

    [Fact]
    public void Clusters_of_one_size_give_the_standard_error_of_their_means_or_a_larger_one() =>
        Gen.Double[-5, 5]
            .Array[4]
            .Array[3, 8]
            .Sample(values =>
            {
                var mean = ClusteredMean.Of(values);
                var ofMeans = Math.Sqrt(mean.BetweenSquares / (values.Length - 1) / mean.Count);
                Assert.True(mean.StandardError > ofMeans - 1e-7);
                if (mean.BetweenVariance > 0)
                    Assert.Equal(ofMeans, mean.StandardError, 1e-6);
            });

    [Fact]
    public void Values_that_say_nothing_are_rejected()
    {
        Assert.Throws<ArgumentException>(() =>
            ClusteredMean.Of([
                [1, 2],
            ])
        );
        Assert.Throws<ArgumentException>(() =>
            ClusteredMean.Of([
                [1, 2],
                [],
            ])
        );
        Assert.Throws<ArgumentException>(() =>
            ClusteredMean.Of([
                [1, 2],
                [double.NaN],
            ])
        );
    }
}
