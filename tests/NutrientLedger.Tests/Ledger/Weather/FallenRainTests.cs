using NutrientLedger.Journal;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Weather;
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

    // Arithmetic mean of gauges: World Meteorological Organization, Guide to Hydrological Practices, from memory.
    [Fact]
    public void Of_two_gauges_their_mean_counts_and_their_totals_are_never_compared()
    {
        RainTotal[] dry = [At(0, 20), At(2, 20), .. Second((1, 900), (3, 900))];
        Assert.Equal(0, FallenRain.Micrometres(dry, Hour(0), Hour(3)));
        Assert.Empty(FallenRain.Falls(dry));

        // 4 mm in four hours here, 8 mm there; and only one of them measures in the hour after.
        RainTotal[] wet = [At(0, 20), At(4, 24), .. Second((0, 900), (4, 908), (5, 911))];
        Assert.Equal(6_000, FallenRain.Micrometres(wet, Hour(0), Hour(4))!.Value, 1e-9);
        Assert.Equal(3_000, FallenRain.Micrometres(wet, Hour(1), Hour(3))!.Value, 1e-9);
        Assert.Equal(9_000, FallenRain.Micrometres(wet, Hour(0), Hour(9))!.Value, 1e-9);

        static IEnumerable<RainTotal> Second(params (int Hour, int Millimetres)[] totals) =>
            totals.Select(total => At(total.Hour, total.Millimetres) with { GaugeId = "second" });
    }

    [Fact]
    public void Void_totals_and_those_of_questionable_time_are_left_out_and_a_decided_clock_holds()
    {
        var batch = new ReadingBatch<WeatherReading>("gauge", 1, 1, [Weather(0), Weather(1), Weather(2), Weather(300)]);
        IJournalEvent[] decided =
        [
            new ReadingsVoided(
                "v",
                "gauge",
                TelemetryStream.Weather,
                1,
                2,
                2,
                VoidedPart.Reading,
                "A spider",
                "Ada Ash"
            ),
            new QuestionableTimeDecided(
                "gauge",
                TelemetryStream.Weather,
                1,
                3,
                3,
                TimeDecision.Shifted,
                1_000,
                "Late",
                "Ada Ash"
            ),
        ];

        var totals = RainTotal.Of(
            batch,
            Some.Morning.AddSeconds(2),
            Some.Configuration([.. Some.ConfigurationEvents(), .. decided])
        );

        var morning = Some.Morning.ToUnixTimeMilliseconds();
        Assert.Equal([new("gauge", morning, 0), new("gauge", morning + 3_000, 2)], totals);

        static WeatherReading Weather(int seconds) =>
            new(
                Some.Morning.AddSeconds(seconds).ToUnixTimeMilliseconds() + (seconds == 300 ? 3_000 : 0),
                RainTotalMicrometres: seconds
            );
    }

    private static RainTotal At(int hour, int millimetres) => new("gauge", Hour(hour), millimetres * 1_000);

    private static long Hour(int hour) => hour * 3_600_000L;
}
