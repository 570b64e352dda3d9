using NutrientLedger.Ledger.Sampling;

namespace NutrientLedger.Tests.Ledger.Sampling;

/// <summary>
/// A sound sensor is not corrected, and a wrong one is found. By simulation, because theory covers only designs with as
/// many jars on each day. The figures are those of the table in the room's README.
/// </summary>
public class SoundSensorTests
{
    private const double Accepted = 1.3 * SensorCheck.Level;

    [Theory]
    [InlineData(3, 4)]
    [InlineData(5, 4)]
    [InlineData(2, 10)]
    public void A_sound_sensor_is_proposed_for_correction_no_more_often_than_the_stated_level(int days, int jars) =>
        Assert.InRange(Of(days, jars).ShareProposed(20_000), 0, Accepted);

    [Fact]
    public void Nor_with_days_of_different_size_little_spread_or_errors_of_another_ratio()
    {
        SimulatedSensors[] sound =
        [
            new() { Jars = [1, 1, 1, 1, 10] },
            new() { Jars = [1, 1, 10] },
            new() { Jars = [1, 2, 3, 4, 5, 6] },
            Of(10, 1),
            Of(10, 4) with
            {
                ContentByDay = 0.02,
                ContentWithinDay = 0.02,
            },
            Of(10, 4) with
            {
                ContentByDay = 0.05,
                DayBias = 0.05,
            },
            Of(10, 4) with
            {
                ContentByDay = 0.05,
                LaboratoryError = 0.06,
            },
        ];
        Assert.All(sound, it => Assert.InRange(it.ShareProposed(4_000), 0, Accepted));
    }

    [Fact]
    public void The_level_is_that_of_one_look_and_a_look_after_each_of_ten_days_misleads_more_often() =>
        Assert.Equal(0.12, Of(10, 2).ShareProposedOnSomeDay(2_000), 0.03);

    [Theory]
    [InlineData(3, 0.03, 0.16)]
    [InlineData(3, 0.05, 0.43)]
    [InlineData(3, 0.10, 0.83)]
    [InlineData(5, 0.03, 0.36)]
    [InlineData(5, 0.05, 0.77)]
    [InlineData(5, 0.10, 1.00)]
    [InlineData(10, 0.03, 0.86)]
    [InlineData(10, 0.05, 1.00)]
    [InlineData(10, 0.10, 1.00)]
    public void A_bias_is_found_as_often_as_the_papers_say(int days, double bias, double found) =>
        Assert.Equal(found, (Of(days, 4) with { Bias = bias }).ShareProposed(4_000), 0.03);

    [Theory]
    [InlineData(3, 0.03)]
    [InlineData(5, 0.12)]
    [InlineData(10, 0.52)]
    public void A_slope_that_leaves_the_mean_right_is_found_as_often_as_the_papers_say(int days, double found) =>
        Assert.Equal(found, (Of(days, 4) with { Slope = 0.8 }).ShareProposed(4_000), 0.03);

    private static SimulatedSensors Of(int days, int jars) => new() { Jars = [.. Enumerable.Repeat(jars, days)] };
}
