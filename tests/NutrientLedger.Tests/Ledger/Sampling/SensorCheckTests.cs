using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Sampling;

namespace NutrientLedger.Tests.Ledger.Sampling;

/// <summary>
/// Which calibration is proposed from how many pairs on how many days. The ten pairs are those of
/// LaboratoryComparisonTests. Standard errors by arithmetic of our own (no public example with a sensor was found).
/// </summary>
public class SensorCheckTests
{
    private static readonly double[] Laboratory = [4.2, 3.1, 5.0, 2.6, 3.8, 4.5, 3.3, 2.9, 4.8, 3.6];
    private static readonly double[] Sensor = [4.0, 3.2, 4.7, 2.8, 3.6, 4.4, 3.3, 3.0, 4.5, 3.5];
    private static readonly FarmCalendar Calendar = new(Some.Farm());

    [Fact]
    public void Ten_pairs_on_five_days_whose_slope_is_no_chance_propose_it_with_its_standard_errors()
    {
        var check = Check(Laboratory, Sensor, jars: 2);

        Assert.Equal((5, true, true), (check.Days, check.SlopeIsSignificant, check.ProposesSlope));
        Assert.Equal(Deming(Sensor, Laboratory), check.Proposed!.Slope, 1e-9);
        Assert.Equal(Laboratory.Average() - check.Proposed.Slope * Sensor.Average(), check.Proposed.Intercept, 1e-9);
        // Each day left out in turn; variance of the five lines · 4/5 · 4.
        var without = Enumerable
            .Range(0, 5)
            .Select(day => Deming(Without(Sensor, day), Without(Laboratory, day)))
            .ToArray();
        Assert.Equal(
            Math.Sqrt(without.Sum(slope => Math.Pow(slope - without.Average(), 2)) * 4 / 5),
            check.Proposed.SlopeStandardError!.Value,
            1e-9
        );
    }

    [Fact]
    public void The_same_pairs_on_four_days_test_no_slope_and_their_bias_can_be_chance()
    {
        var check = Check(Laboratory, Sensor, jars: 3);

        Assert.Equal((4, null), (check.Days, check.Line));
        Assert.Equal(SensorCheck.Level, check.BiasLevel);
        Assert.Null(check.SlopeIsSignificant);
        Assert.Null(check.Proposed);
    }

    [Fact]
    public void Nine_of_them_are_too_few_for_a_slope() =>
        Assert.Null(Check(Laboratory[..9], Sensor[..9], jars: 1).Line);

    [Fact]
    public void Where_a_slope_is_tested_too_each_test_has_half_of_the_level()
    {
        var check = Check(Laboratory, Sensor, jars: 1);

        Assert.Equal(SensorCheck.Level / 2, check.BiasLevel);
        // t(9) at 2.5 %, two-sided, is 2.685 (any t table). SEP of these pairs is 0.175119.
        Assert.Equal(2.685 * 0.175119 / Math.Sqrt(10), check.Offset!.Limit(check.BiasLevel), 1e-4);
    }

    [Fact]
    public void A_slope_that_only_some_ratio_of_errors_makes_significant_is_not_proposed()
    {
        // Simulated sound sensor with the larger errors, among contents that hardly differ. With equal errors, or none
        // of the sensor, its slope of 0.38 would be significant. With none of the laboratory's it is not.
        double[] sensor = [4.31, 3.79, 3.73, 4.08, 3.99, 4.09, 4.00, 4.13, 4.15, 3.88];
        double[] laboratory = [4.13, 3.92, 3.91, 3.98, 3.94, 4.15, 4.07, 4.01, 4.05, 4.03];
        var check = Check(laboratory, sensor, jars: 1);

        Assert.True(Math.Abs(check.Line!.Slope - 1) > check.Line.SlopeLimit(SensorCheck.Level / 2));
        Assert.False(check.SlopeIsSignificant);
        Assert.Null(check.Proposed);
    }

    [Fact]
    public void A_bias_that_is_no_chance_is_proposed_with_its_standard_error()
    {
        // Errors 0.4, 0.5, 0.6, 0.5 on four days: mean 0.5, deviation √(0.02/3), standard error half of it.
        var check = Check([3.4, 4.5, 5.6, 3.0], [3.0, 4.0, 5.0, 2.5], jars: 1);

        Assert.False(check.ProposesSlope);
        Assert.Equal((1, 0.5), (check.Proposed!.Slope, Math.Round(check.Proposed.Intercept, 12)));
        Assert.Equal(Math.Sqrt(0.02 / 3) / 2, check.Proposed.InterceptStandardError!.Value, 1e-9);
    }

    [Fact]
    public void The_bias_of_the_same_pairs_on_two_days_is_stated_but_not_proposed()
    {
        var check = Check([3.4, 4.5, 5.6, 3.0], [3.0, 4.0, 5.0, 2.5], jars: 2);

        Assert.Equal((2, 0.5), (check.Days, Math.Round(check.Bias!.Value, 12)));
        Assert.Null(check.Offset);
        Assert.Null(check.Proposed);
    }

    [Fact]
    public void One_pair_gives_a_bias_that_nobody_can_test_and_none_gives_nothing()
    {
        var one = Check([4.4], [4.0], jars: 1);

        Assert.Equal(0.4, one.Bias!.Value, 1e-12);
        Assert.Null(one.Proposed);
        Assert.Null(one.Comparison);
        Assert.Null(Check([], [], jars: 1).Bias);
    }

    [Fact]
    public void Pairs_that_are_all_alike_propose_nothing_on_however_many_days() =>
        Assert.Null(Check([5, 5, 5, 5], [4, 4, 4, 4], jars: 1).Proposed);

    [Fact]
    public void Samples_whose_windows_overlap_share_readings_and_count_as_one_day()
    {
        SamplePair[] pairs = [Pair(0, hours: 30), Pair(1, hours: 1), Pair(2, hours: 24), Pair(3, hours: 1)];

        Assert.Equal(3, SensorCheck.Of(pairs, Calendar).Days);
        // 23:30 and 0:30 are two farm days, also where it is one day in UTC.
        var late = Some.Morning.AddHours(13.5);
        Assert.Equal(2, SensorCheck.Of([Pair(late), Pair(late.AddHours(1))], Calendar).Days);
    }

    private static SensorCheck Check(double[] laboratory, double[] sensor, int jars) =>
        SensorCheck.Of(
            [
                .. laboratory.Select(
                    (found, i) => Pair(Some.Morning.AddDays(i / jars)) with { Laboratory = found, Sensor = sensor[i] }
                ),
            ],
            Calendar
        );

    private static SamplePair Pair(int day, int hours) => Pair(Some.Morning.AddDays(day), hours);

    private static SamplePair Pair(DateTimeOffset at, double hours = 0.1)
    {
        var from = at.ToUnixTimeMilliseconds();
        LabResultReported report = new(
            "r-1",
            "1",
            "Fen Street laboratory",
            at,
            at,
            null,
            Some.Sensor,
            "grab",
            new(2026, 5, 2),
            [],
            null,
            "Ada Ash"
        );
        return new(new(report, from, from + (long)(hours * 3_600_000), null), 0, 0, new(1_000, 1_000, 0));
    }

    /// <summary>Deming's slope with equal errors: that of the first principal axis.</summary>
    private static double Deming(double[] x, double[] y)
    {
        var (mx, my) = (x.Average(), y.Average());
        var difference = y.Sum(it => Math.Pow(it - my, 2)) - x.Sum(it => Math.Pow(it - mx, 2));
        var products = x.Zip(y, (one, other) => (one - mx) * (other - my)).Sum();
        return Math.Tan(Math.Atan2(2 * products, -difference) / 2);
    }

    private static double[] Without(double[] values, int day) => [.. values.Where((_, i) => i / 2 != day)];
}
