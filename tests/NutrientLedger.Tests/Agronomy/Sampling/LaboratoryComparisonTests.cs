using CsCheck;
using MathNet.Numerics;
using MathNet.Numerics.LinearRegression;
using NutrientLedger.Agronomy.Sampling;

namespace NutrientLedger.Tests.Agronomy.Sampling;

/// <summary>
/// ISO 12099:2017, clauses 7.3 to 7.6: only the clause titles were read; the formulas are from memory. No public
/// example with numbers was found, so the set of ten pairs is our own arithmetic (derived, NOT published).
/// </summary>
public sealed class LaboratoryComparisonTests
{
    private static readonly double[] Laboratory = [4.2, 3.1, 5.0, 2.6, 3.8, 4.5, 3.3, 2.9, 4.8, 3.6];
    private static readonly double[] Sensor = [4.0, 3.2, 4.7, 2.8, 3.6, 4.4, 3.3, 3.0, 4.5, 3.5];

    private static readonly Gen<LaboratoryPair[]> Pairs = Gen.Select(Gen.Double[1, 8], Gen.Double[-1, 1])
        .Array[3, 40]
        .Select(pairs => pairs.Select(p => new LaboratoryPair(p.Item1 + p.Item2, p.Item1)).ToArray())
        // A line needs values that differ.
        .Where(pairs => Spread(pairs.Select(p => p.Sensor)) > 0.01 && Spread(pairs.Select(p => p.Laboratory)) > 0.01);

    private static double Spread(IEnumerable<double> values) => values.Max() - values.Min();

    [Fact]
    public void Ten_pairs_give_the_separately_computed_values()
    {
        var ten = Compare(Laboratory, Sensor);
        Assert.Equal(0.080000, ten.Bias, 1e-6);
        Assert.Equal(0.175119, ten.StandardErrorOfPrediction, 1e-6);
        Assert.Equal(0.184391, ten.RootMeanSquareError, 1e-6);
        Assert.Equal(0.125273, ten.BiasLimit(0.95), 1e-6);
        Assert.False(ten.BiasIsSignificant(0.95));
        Assert.Equal(1.233668, ten.Slope, 1e-6);
        Assert.Equal(-0.784573, ten.Intercept, 1e-6);
        Assert.Equal(0.085651, ten.ResidualDeviation, 1e-6);
        Assert.Equal(5.44265, ten.SlopeT, 1e-5);
        Assert.True(ten.SlopeIsSignificant(0.95));
        Assert.Equal(4.70738, ten.PerformanceToDeviation, 1e-5);
        Assert.Equal(0.990404, ten.Determination, 1e-6);
    }

    // BCL/SEP at 95 % and the bias shown with a power of 80 % (derived from t with n − 1 degrees). From memory, the
    // standard itself says 48 % for n = 20, which is not t: 0.468.
    [Theory]
    [InlineData(10, 0.715, 0.995)]
    [InlineData(20, 0.468, 0.661)]
    [InlineData(30, 0.373, 0.529)]
    public void More_samples_show_a_smaller_bias(int count, double limit, double shown)
    {
        var set = Compare(
            [.. Enumerable.Range(0, count).Select(n => 10 + n + (n % 2 == 0 ? 0.3 : -0.2))],
            [.. Enumerable.Range(0, count).Select(n => 10.0 + n)]
        );
        Assert.Equal(limit, set.BiasLimit(0.95) / set.StandardErrorOfPrediction, 0.0005);
        Assert.Equal(shown, set.SmallestBiasShown(0.95, 0.80) / set.StandardErrorOfPrediction, 0.0005);
    }

    [Fact]
    public void Slope_intercept_and_determination_agree_with_a_regression_library() =>
        Pairs.Sample(pairs =>
        {
            double[] laboratory = [.. pairs.Select(p => p.Laboratory)],
                sensor = [.. pairs.Select(p => p.Sensor)];
            var ours = LaboratoryComparison.Of(pairs);
            var (intercept, slope) = SimpleRegression.Fit(sensor, laboratory);
            Assert.Equal(slope, ours.Slope, 1e-6 * (1 + Math.Abs(slope)));
            Assert.Equal(intercept, ours.Intercept, 1e-6 * (1 + Math.Abs(intercept)));
            var fitted = sensor.Select(x => intercept + slope * x);
            Assert.Equal(GoodnessOfFit.RSquared(fitted, laboratory), ours.Determination, 1e-9);
            Assert.Equal(
                GoodnessOfFit.StandardError(fitted, laboratory, 2),
                ours.ResidualDeviation,
                1e-6 * (1 + ours.ResidualDeviation)
            );
        });

    [Fact]
    public void Bias_and_scatter_together_make_the_root_mean_square_error() =>
        Pairs.Sample(pairs =>
        {
            var set = LaboratoryComparison.Of(pairs);
            var n = (double)set.Count;
            var scatter = set.StandardErrorOfPrediction * set.StandardErrorOfPrediction * (n - 1) / n;
            Assert.Equal(set.RootMeanSquareError * set.RootMeanSquareError, set.Bias * set.Bias + scatter, 1e-9);
        });

    [Fact]
    public void A_constant_offset_is_all_bias_and_no_slope() =>
        Pairs.Sample(pairs =>
        {
            var plain = LaboratoryComparison.Of(pairs);
            var offset = LaboratoryComparison.Of([.. pairs.Select(p => p with { Laboratory = p.Laboratory + 2 })]);
            Assert.Equal(plain.Bias + 2, offset.Bias, 1e-9);
            Assert.Equal(plain.StandardErrorOfPrediction, offset.StandardErrorOfPrediction, 1e-9);
            Assert.Equal(plain.Slope, offset.Slope, 1e-6 * (1 + Math.Abs(plain.Slope)));
        });

    // F(0.95; 9, 60) = 2.0401 (from memory, any F table).
    [Fact]
    public void The_error_that_agrees_with_a_calibration_follows_from_F() =>
        Assert.Equal(
            0.2 * Math.Sqrt(2.0401),
            Compare(Laboratory, Sensor).UnexplainedErrorLimit(0.2, 66, 5, 0.95),
            1e-4
        );

    [Fact]
    public void Sets_without_information_are_rejected()
    {
        Assert.Throws<ArgumentException>(() => Compare([1, 2], [1, 2]));
        Assert.Throws<ArgumentException>(() => Compare([1, 2, 3], [2, 2, 2]));
        Assert.Throws<ArgumentException>(() => Compare([1, 1, 1], [2, 3, 4]));
        Assert.Throws<ArgumentException>(() => Compare([1, double.NaN, 3], [2, 3, 4]));
    }

    private static LaboratoryComparison Compare(double[] laboratory, double[] sensor) =>
        LaboratoryComparison.Of([.. laboratory.Zip(sensor, (l, s) => new LaboratoryPair(l, s))]);
}
