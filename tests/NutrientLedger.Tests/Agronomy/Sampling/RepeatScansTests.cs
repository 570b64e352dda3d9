using CsCheck;
using MathNet.Numerics.Distributions;
using MathNet.Numerics.Statistics;
using NutrientLedger.Agronomy.Sampling;

namespace NutrientLedger.Tests.Agronomy.Sampling;

/// <summary>
/// Textbook statistics. No example with answers was found in a published guide, so a statistics library is the second
/// opinion.
/// </summary>
public sealed class RepeatScansTests
{
    private static readonly Gen<double[]> Scans = Gen.Double[0.5, 80].Array[2, 40];

    [Fact]
    public void Mean_and_deviation_agree_with_a_statistics_library() =>
        Scans.Sample(scans =>
        {
            var repeat = RepeatScans.Of(scans);
            var (mean, deviation) = scans.MeanStandardDeviation();
            Assert.Equal(scans.Length, repeat.Count);
            Assert.Equal(mean, repeat.Mean, 1e-9);
            Assert.Equal(deviation, repeat.StandardDeviation, 1e-9);
            Assert.Equal(deviation / mean, repeat.CoefficientOfVariation!.Value, 1e-9);
        });

    // Eight scans worked by hand: mean 5, squares about it 9 + 1 + 1 + 1 + 0 + 0 + 4 + 16 = 32, s = √(32/7).
    [Fact]
    public void Eight_scans_by_hand()
    {
        var repeat = RepeatScans.Of([2, 4, 4, 4, 5, 5, 7, 9]);
        Assert.Equal(5, repeat.Mean);
        Assert.Equal(Math.Sqrt(32.0 / 7), repeat.StandardDeviation, 1e-12);
        Assert.Equal(Math.Sqrt(32.0 / 7 / 8), repeat.StandardError, 1e-12);
        // t(0.975; 7) = 2.3646 (from memory, any t table).
        Assert.Equal(2.3646 * Math.Sqrt(32.0 / 7 / 8), repeat.ConfidenceHalfWidth(0.95), 1e-4);
    }

    [Fact]
    public void The_number_of_scans_needed_is_the_smallest_that_does() =>
        Gen.Select(Gen.Double[0.05, 30], Gen.Double[0.2, 5], Gen.Double[0.8, 0.99])
            .Sample(
                (deviation, wanted, confidence) =>
                {
                    var needed = new RepeatScans(5, 40, deviation).ScansNeeded(wanted, confidence);
                    double HalfWidth(long count) =>
                        StudentT.InvCDF(0, 1, count - 1, (1 + confidence) / 2) * deviation / Math.Sqrt(count);
                    Assert.True(needed >= 2);
                    Assert.True(HalfWidth(needed) <= wanted * (1 + 1e-9));
                    if (needed > 2)
                        Assert.True(HalfWidth(needed - 1) > wanted * (1 - 1e-9));
                }
            );

    [Fact]
    public void Scans_that_never_differ_need_no_more_than_two() =>
        Assert.Equal(2, RepeatScans.Of([4.1, 4.1, 4.1]).ScansNeeded(0.1, 0.95));

    // True mean 10: of 4,000 intervals at 95 % about 200 miss it; 5 standard deviations of that count are 69.
    [Fact]
    public void Nineteen_of_twenty_confidence_intervals_hold_the_mean()
    {
        var noise = new Normal(10, 3, new Random(20261124));
        var misses = 0;
        for (var set = 0; set < 4_000; set++)
        {
            var repeat = RepeatScans.Of([.. noise.Samples().Take(6)]);
            if (Math.Abs(repeat.Mean - 10) > repeat.ConfidenceHalfWidth(0.95))
                misses++;
        }
        Assert.InRange(misses, 131, 269);
    }

    [Fact]
    public void Impossible_inputs_are_rejected()
    {
        Assert.Throws<ArgumentException>(() => RepeatScans.Of([4.1]));
        Assert.Throws<ArgumentException>(() => RepeatScans.Of([4.1, double.NaN]));
        var repeat = RepeatScans.Of([4.1, 4.2]);
        Assert.Throws<ArgumentOutOfRangeException>(() => repeat.ScansNeeded(0, 0.95));
        Assert.Throws<ArgumentOutOfRangeException>(() => repeat.ConfidenceHalfWidth(95));
        Assert.Null(RepeatScans.Of([-1, 1]).CoefficientOfVariation);
    }
}
