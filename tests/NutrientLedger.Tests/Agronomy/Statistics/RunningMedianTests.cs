using MathNet.Numerics.Distributions;
using MathNet.Numerics.Statistics;
using NutrientLedger.Agronomy.Statistics;

namespace NutrientLedger.Tests.Agronomy.Statistics;

public class RunningMedianTests
{
    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    [InlineData(7)]
    [InlineData(40)]
    public void Every_window_agrees_with_the_medians_of_MathNet(int toEachSide)
    {
        var chance = new Random(20260514);
        // Rounded, so that equal values occur; some values are far off.
        double[] values =
        [
            .. Enumerable.Range(0, 120).Select(i => Math.Round(20 * chance.NextDouble()) + (i % 17 == 0 ? 900 : 0)),
        ];

        var around = RunningMedian.Around(values, toEachSide);

        for (var place = 0; place < values.Length; place++)
        {
            var window = values[Math.Max(0, place - toEachSide)..Math.Min(values.Length, place + toEachSide + 1)];
            var median = window.Median();
            var distance = window.Select(value => Math.Abs(value - median)).Median();
            Assert.Equal(median, around[place].Median, 9);
            Assert.Equal(1.4826 * distance, around[place].Deviation, 9);
        }
    }

    [Fact]
    public void The_deviation_of_normal_values_is_their_standard_deviation()
    {
        // Three quarters of a normal distribution lie below 1/1.4826 standard deviations.
        Assert.Equal(1.4826, 1 / Normal.InvCDF(0, 1, 0.75), 4);
        var values = Normal.Samples(new Random(7), 100, 5).Take(4001).ToArray();
        Assert.InRange(RunningMedian.Around(values, 4000)[0].Deviation, 4.75, 5.25);
    }

    [Fact]
    public void Two_wrong_values_in_five_move_neither_far()
    {
        Assert.Equal(new(10, 1.4826), RunningMedian.Around([9, 10, 900, 11, -500], 4)[2]);
        Assert.Empty(RunningMedian.Around([], 3));
    }
}
