using NutrientLedger.Journal.Weather;

namespace NutrientLedger.Tests.Telemetry.Senml;

/// <summary>
/// How base fields apply: RFC 8428 sections 4.1 to 4.6, with the values of its examples in section 5.1 (seen in the
/// working group's draft 09 of the same text; section numbers of the published RFC from memory).
/// </summary>
public sealed class SenmlResolutionTests
{
    [Fact]
    public void Times_units_and_names_resolve_as_in_the_example_of_section_5_1_4()
    {
        // Humidity 20 and 20.3 %RH, a minute apart, from 2011-10-31 13:24:24 UTC. A record's own unit overrides the
        // base unit.
        var batch = Wire.WeatherBatch(
            """
            [{"bn":"","bt":1320067464,"bu":"%RH","n":"rh","v":20},
             {"n":"temp","u":"Cel","v":23.1},
             {"n":"rh","t":60,"v":20.3},
             {"n":"boot","u":"count","v":1},{"n":"seq","u":"count","v":1}]
            """
        );

        WeatherReading[] expected =
        [
            new(1320067464000, TemperatureMillidegreesCelsius: 23100, HumidityMillipercent: 20000),
            new(1320067524000, HumidityMillipercent: 20300),
        ];
        Assert.Equal(expected, batch.Readings.ToArray());
    }

    [Fact]
    public void A_base_time_with_an_exponent_and_negative_offsets_resolve_as_in_section_5_1_2()
    {
        // "bt":1.276020076001e+09 with t from -5 to 0: 2010-06-08 18:01:11.001 to 18:01:16.001 UTC.
        var batch = Wire.WeatherBatch(
            """
            [{"n":"boot","v":1},{"n":"seq","v":1},
             {"bt":1.276020076001e+09,"bu":"Cel","n":"temp","t":-5,"v":1.2},
             {"n":"temp","t":-4,"v":1.3},{"n":"temp","v":1.7}]
            """
        );

        Assert.Equal(
            [1276020071001, 1276020072001, 1276020076001],
            batch.Readings.Select(reading => reading.MeasuredAtMilliseconds)
        );
        Assert.Equal([1200, 1300, 1700], batch.Readings.Select(reading => reading.TemperatureMillidegreesCelsius));
    }

    [Fact]
    public void A_base_name_is_put_in_front_until_the_next_base_name()
    {
        // Section 4.1: a base field applies to its own record and all after it, up to the next record that has it.
        var batch = Wire.WeatherBatch(
            """
            [{"bt":1320067464,"n":"boot","v":1},{"n":"seq","v":1},
             {"bn":"r","n":"h","u":"%RH","v":50},
             {"n":"ain","u":"m","v":0.001},
             {"bn":"temp","u":"Cel","v":9}]
            """
        );

        Assert.Equal([new WeatherReading(1320067464000, 9000, null, 1000, 50000)], batch.Readings.ToArray());
    }

    [Fact]
    public void A_base_value_is_added_and_counts_alone_where_a_record_has_no_value()
    {
        var batch = Wire.WeatherBatch(
            """
            [{"bt":1320067464,"n":"boot","v":1},{"n":"seq","v":1},
             {"bv":20,"bu":"Cel","n":"temp","v":1.5},
             {"n":"temp","t":1}]
            """
        );

        Assert.Equal([21500, 20000], batch.Readings.Select(reading => reading.TemperatureMillidegreesCelsius));
    }

    [Fact]
    public void A_base_unit_applies_to_boot_too()
    {
        Assert.Contains(
            "boot must have the unit count",
            Wire.Rejection(Wire.Weather, """[{"bu":"Cel","n":"boot","v":1}]"""),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void An_unknown_field_is_ignored_unless_it_must_be_understood()
    {
        // Section 4.4.
        var passedOver = Wire.SpreadWith("""{"n":"lon","u":"lon","v":1,"x":{"y":[1,{"z":null}]},"q":"\n"}""");
        Assert.Equal(10000000, Wire.SpreadBatch(passedOver).Readings[0].LongitudeE7);
        Assert.Contains(
            "must be understood",
            Wire.Rejection(Wire.Spread, Wire.SpreadWith("""{"n":"lon","u":"lon","v":1,"x_":0}""")),
            StringComparison.Ordinal
        );
    }

    [Theory]
    [InlineData(10, true)]
    [InlineData(9, false)]
    [InlineData(11, false)]
    [InlineData(26, false)] // RFC 9100: version 10 with the feature "secondary units".
    public void Only_the_version_of_the_published_format_is_read(int version, bool read)
    {
        var result = Wire.Read(
            Wire.Store,
            $$"""[{"bver":{{version}},"bt":1320067464,"n":"boot","v":1},{"n":"seq","v":1},{"n":"level","u":"m","v":1}]"""
        );

        Assert.Equal(read, result is NutrientLedger.Telemetry.DecodeResult.Decoded);
    }
}
