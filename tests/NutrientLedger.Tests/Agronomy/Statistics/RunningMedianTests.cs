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
    public void Outliers_of_every_window_agree_with_the_medians_of_MathNet(int toEachSide)
    {
        var chance = new Random(20260514);
        // Rounded, so that equal values occur; some values are far off.
        double[] values =
        [
            .. Enumerable.Range(0, 120).Select(i => Math.Round(20 * chance.NextDouble()) + (i % 17 == 0 ? 900 : 0)),
        ];
        var expected = new List<(int Place, double Median, double Deviations)>();
        for (var place = 0; place < values.Length; place++)
        {
            var window = values[Math.Max(0, place - toEachSide)..Math.Min(values.Length, place + toEachSide + 1)];
            var median = window.Median();
            var deviation = 1.4826 * window.Select(value => Math.Abs(value - median)).Median();
            var times = Math.Abs(values[place] - median) / Math.Max(deviation, 0.5 + (median / 100));
            if (times > 0.9)
                expected.Add((place, median, times));
        }

        var outliers = RunningMedian.Outliers(values, toEachSide, 0.9, median => 0.5 + (median / 100));

        // A window of one value has no outlier; wider ones have many.
        Assert.InRange(expected.Count, toEachSide == 0 ? 0 : 20, toEachSide == 0 ? 0 : 100);
        Assert.Equal(expected.Select(one => one.Place), outliers.Select(one => one.Place));
        Assert.All(expected.Zip(outliers), pair => Assert.Equal(pair.First.Median, pair.Second.Median, 9));
        Assert.All(expected.Zip(outliers), pair => Assert.Equal(pair.First.Deviations, pair.Second.Deviations, 9));
    }

    [Fact]
    public void The_deviation_of_normal_values_is_their_standard_deviation()
    {
        // Three quarters of a normal distribution lie below 1/1.4826 standard deviations.
        Assert.Equal(1.4826, 1 / Normal.InvCDF(0, 1, 0.75), 4);
        double[] values = [.. Normal.Samples(new Random(7), 100, 5).Take(4000), 200];
        // 100 lies 20 standard deviations from the median.
        var far = Assert.Single(RunningMedian.Outliers(values, 4001, 10, _ => 0.01));
        Assert.Equal((4000, true), (far.Place, far.Deviations is > 19 and < 21));
    }

    [Fact]
    public void Two_wrong_values_in_five_move_neither_far()
    {
        var outliers = RunningMedian.Outliers([9, 10, 900, 11, -500], 4, 3, _ => 0);
        Assert.Equal([new(2, 10, 890 / 1.4826), new(4, 10, 510 / 1.4826)], outliers);
        Assert.Empty(RunningMedian.Outliers([], 3, 1, _ => 1));
    }
}
