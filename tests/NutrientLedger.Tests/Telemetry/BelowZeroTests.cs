using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Weather;
using NutrientLedger.Telemetry;

namespace NutrientLedger.Tests.Telemetry;

public sealed class BelowZeroTests
{
    [Fact]
    public void Noise_of_contents_near_zero_is_kept_with_its_sign()
    {
        var (reading, leftOut) = Spread(
            """
            {"n":"dm","u":"/","v":-0.02},{"n":"tn","u":"kg/m3","v":-0.01},{"n":"nh4n","u":"kg/m3","v":-1},
            {"n":"p","u":"kg/m3","v":-0.0004},{"n":"k","u":"kg/m3","v":-0.0006}
            """
        );

        Assert.Equal((-20_000, -10), (reading.DryMatterPartsPerMillion, reading.TotalNitrogenMilligramsPerLitre));
        Assert.Equal(-1000, reading.AmmoniumNitrogenMilligramsPerLitre);
        Assert.Equal((0, -1), (reading.PhosphorusMilligramsPerLitre, reading.PotassiumMilligramsPerLitre));
        Assert.Equal(0, leftOut);
    }

    [Fact]
    public void Noise_of_flow_speed_width_and_weather_near_zero_counts_as_0()
    {
        var (reading, leftOut) = Spread(
            """
            {"n":"flow","u":"m3/s","v":-0.02},{"n":"speed","u":"m/s","v":-0.001},{"n":"width","u":"m","v":-1.2}
            """
        );
        var weather = Wire.WeatherBatch(
            """[{"bt":1790000000,"n":"boot","v":1},{"n":"seq","v":7},{"n":"wind","u":"m/s","v":-0.1},{"n":"rh","u":"%RH","v":-2.2}]"""
        );

        Assert.Equal(
            (0, 0, 0, 0),
            (reading.FlowMillilitresPerSecond, reading.SpeedMillimetresPerSecond, reading.WidthMillimetres, leftOut)
        );
        Assert.Equal(
            new WeatherReading(1790000000000, WindMillimetresPerSecond: 0, HumidityMillipercent: 0),
            weather.Readings[0]
        );
    }

    [Fact]
    public void Values_far_below_zero_and_negative_totals_count_as_not_measured_and_the_rest_of_the_message_is_read()
    {
        var (reading, leftOut) = Spread(
            """
            {"n":"dm","u":"/","v":-0.0201},{"n":"tn","u":"kg/m3","v":-1.001},{"n":"flow","u":"m3/s","v":-0.021},
            {"n":"total","u":"m3","v":-0.001},{"n":"speed","u":"m/s","v":2}
            """
        );

        Assert.Equal(new SpreadReading(1790000000000, LatitudeE7: 445000000, SpeedMillimetresPerSecond: 2000), reading);
        Assert.Equal(4, leftOut);
    }

    private static (SpreadReading Reading, int LeftOut) Spread(string records)
    {
        var decoded = Assert.IsType<DecodeResult.Decoded>(Wire.Read(Wire.Spread, Wire.SpreadWith(records)));
        return (Assert.IsType<SpreadingMeasured>(decoded.Event).Batch.Readings[0], decoded.ValuesLeftOut);
    }
}
