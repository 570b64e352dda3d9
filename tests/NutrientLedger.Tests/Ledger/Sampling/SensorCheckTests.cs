using NutrientLedger.Ledger.Sampling;

namespace NutrientLedger.Tests.Ledger.Sampling;

/// <summary>
/// Which calibration is proposed from how many pairs. The ten pairs and their values are those of
/// LaboratoryComparisonTests (ISO 12099 by its clause titles, our own arithmetic; no public example with numbers was
/// found).
/// </summary>
public class SensorCheckTests
{
    private static readonly double[] Laboratory = [4.2, 3.1, 5.0, 2.6, 3.8, 4.5, 3.3, 2.9, 4.8, 3.6];
    private static readonly double[] Sensor = [4.0, 3.2, 4.7, 2.8, 3.6, 4.4, 3.3, 3.0, 4.5, 3.5];

    [Fact]
    public void Ten_pairs_whose_slope_is_no_chance_propose_it_with_its_standard_errors()
    {
        var check = Check(Laboratory, Sensor);

        Assert.Equal(1.233668, check.Proposed!.Slope, 1e-6);
        Assert.Equal(-0.784573, check.Proposed.Intercept, 1e-6);
        // t = (1.233668 − 1)/standard error = 5.44265.
        Assert.Equal(0.233668 / 5.44265, check.Proposed.SlopeStandardError!.Value, 1e-6);
        // The same from the normal equations: s²·Σx²/(n·Σx² − (Σx)²).
        var (squares, sum) = (Sensor.Sum(x => x * x), Sensor.Sum());
        Assert.Equal(
            0.085651 * Math.Sqrt(squares / (10 * squares - sum * sum)),
            check.Proposed.InterceptStandardError!.Value,
            1e-6
        );
    }

    [Fact]
    public void Nine_of_them_are_too_few_for_a_slope_and_their_bias_can_be_chance()
    {
        var check = Check(Laboratory[..9], Sensor[..9]);

        Assert.True(check.Comparison!.SlopeIsSignificant(SensorCheck.Confidence));
        Assert.False(check.Comparison.BiasIsSignificant(SensorCheck.Confidence));
        Assert.Null(check.Proposed);
    }

    [Fact]
    public void A_bias_that_is_no_chance_is_proposed_with_its_standard_error()
    {
        // Errors 0.4, 0.5, 0.6, 0.5: mean 0.5, SEP √(0.02/3), standard error SEP/2.
        var check = Check([3.4, 4.5, 5.6, 3.0], [3.0, 4.0, 5.0, 2.5]);

        Assert.False(check.ProposesSlope);
        Assert.Equal((1, 0.5), (check.Proposed!.Slope, Math.Round(check.Proposed.Intercept, 12)));
        Assert.Equal(Math.Sqrt(0.02 / 3) / 2, check.Proposed.InterceptStandardError!.Value, 1e-12);
        Assert.Equal(5.6, Assert.Single(check.OutsideRange()).Laboratory);
    }

    [Fact]
    public void One_pair_gives_a_bias_that_nobody_can_test_and_none_gives_nothing()
    {
        var one = Check([4.4], [4.0]);

        Assert.Equal(0.4, one.Proposed!.Intercept, 1e-12);
        Assert.Null(one.Proposed.InterceptStandardError);
        Assert.Null(one.Comparison);
        Assert.Null(Check([], []).Proposed);
    }

    private static SensorCheck Check(double[] laboratory, double[] sensor) =>
        SensorCheck.Of([
            .. laboratory.Zip(sensor, (found, read) => new SamplePair(Window, found, read, new(1_000, 1_000, 0))),
        ]);

    private static SampledWindow Window { get; } =
        new(
            new(
                "r-1",
                "1",
                "Fen Street laboratory",
                Some.Morning,
                Some.Morning,
                null,
                Some.Sensor,
                "grab",
                new(2026, 5, 2),
                [],
                null,
                "Ada Ash"
            ),
            0,
            1,
            null
        );
}
