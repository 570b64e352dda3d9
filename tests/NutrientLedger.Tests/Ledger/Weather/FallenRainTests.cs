using NutrientLedger.Ledger.Weather;

namespace NutrientLedger.Tests.Ledger.Weather;

/// <summary>Rain from the running totals of a gauge: plain arithmetic. Hours and millimetres here.</summary>
public class FallenRainTests
{
    // 2 mm fell before the gauge was reset to 0 and 3 mm after it. The rain in the hour between is unknown.
    [Fact]
    public void A_gauge_reset_to_zero_adds_and_removes_no_rain()
    {
        RainTotal[] totals = [At(0, 40), At(1, 42), At(2, 0), At(3, 3)];

        Assert.Equal(5_000, FallenRain.Micrometres(totals, Hour(0), Hour(3))!.Value, 1e-9);
        Assert.Equal(0, FallenRain.Micrometres(totals, Hour(1), Hour(2)));
        Assert.Equal([(Hour(0), Hour(1)), (Hour(2), Hour(3))], FallenRain.Falls(totals));
    }

    [Fact]
    public void Rain_between_two_readings_is_shared_out_evenly_over_their_time() =>
        Assert.Equal(3_000, FallenRain.Micrometres([At(0, 0), At(4, 4)], Hour(1), Hour(9))!.Value, 1e-9);

    [Fact]
    public void Two_totals_of_one_moment_give_the_same_in_any_order_of_arrival()
    {
        RainTotal[] totals = [At(0, 0), At(1, 1), At(1, 2), At(2, 3)];
        RainTotal[] otherwise = [totals[0], totals[2], totals[1], totals[3]];

        Assert.Equal(2_000, FallenRain.Micrometres(totals, Hour(0), Hour(2)));
        Assert.Equal(2_000, FallenRain.Micrometres(otherwise, Hour(0), Hour(2)));
    }

    [Fact]
    public void Without_two_readings_around_a_time_its_rain_is_unknown()
    {
        Assert.Null(FallenRain.Micrometres([At(0, 0)], Hour(0), Hour(2)));
        Assert.Null(FallenRain.Micrometres([At(0, 0), At(1, 1)], Hour(1), Hour(2)));
    }

    private static RainTotal At(int hour, int millimetres) => new(Hour(hour), millimetres * 1_000);

    private static long Hour(int hour) => hour * 3_600_000L;
}
