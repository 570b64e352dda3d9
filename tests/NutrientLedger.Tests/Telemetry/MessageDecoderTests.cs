using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Telemetry;

namespace NutrientLedger.Tests.Telemetry;

public sealed class MessageDecoderTests
{
    [Fact]
    public void A_spread_message_becomes_a_batch_of_readings()
    {
        var batch = Wire.SpreadBatch(
            """
            [{"bt":1790000000.0,"n":"boot","u":"count","v":3},
             {"n":"seq","u":"count","v":41},
             {"n":"lat","u":"lat","v":44.1234567},
             {"n":"lon","u":"lon","v":-88.7654321},
             {"n":"speed","u":"m/s","v":2.25},
             {"n":"width","u":"m","v":12.0},
             {"n":"engaged","vb":true},
             {"n":"flow","u":"m3/s","v":0.0315},
             {"n":"total","u":"m3","v":1234.567891},
             {"n":"dm","u":"/","v":0.0425},
             {"n":"tn","u":"kg/m3","v":3.1},
             {"n":"nh4n","u":"kg/m3","v":1.9},
             {"n":"p","u":"kg/m3","v":0.6},
             {"n":"k","u":"kg/m3","v":2.2},
             {"n":"lat","u":"lat","t":0.2,"v":44.1234612},
             {"n":"engaged","t":0.2,"vb":false}]
            """
        );

        Assert.Equal("spreader-1", batch.EquipmentId);
        Assert.Equal((3, 41, 42), (batch.Boot, batch.FirstSeq, batch.LastSeq));
        SpreadReading[] expected =
        [
            new(
                1790000000000,
                441234567,
                -887654321,
                2250,
                12000,
                true,
                31500,
                1234567891,
                42500,
                3100,
                1900,
                600,
                2200
            ),
            new(1790000000200, LatitudeE7: 441234612, Engaged: false),
        ];
        Assert.Equal(expected, batch.Readings.ToArray());
        Assert.Null(batch.Before);
        Assert.Null(batch.After);
    }

    [Fact]
    public void A_store_message_becomes_levels()
    {
        var batch = Wire.StoreBatch(
            """[{"bt":1790000000,"n":"boot","v":0},{"n":"seq","v":1},{"n":"level","u":"m","v":2.7185},{"n":"temp","u":"Cel","v":-0.5}]"""
        );

        Assert.Equal([new LevelReading(1790000000000, 2719, -500)], batch.Readings.ToArray());
    }

    [Theory]
    [InlineData("""{"n":"lastboot","v":3},{"n":"lastseq","u":"count","v":992}""", true)]
    [InlineData("""{"n":"lastseq","v":992},{"n":"lastboot","v":3}""", true)]
    [InlineData("""{"n":"lastboot","v":4},{"n":"lastseq","v":992}""", false)]
    [InlineData("""{"n":"lastboot","v":5},{"n":"lastseq","v":992}""", false)]
    [InlineData("""{"n":"lastboot","v":3}""", false)]
    [InlineData("""{"n":"lastseq","v":992}""", false)]
    public void The_previous_session_a_device_reports_is_kept_if_boot_and_number_are_there_and_earlier(
        string records,
        bool isKept
    )
    {
        var message =
            $$"""[{"bt":1790000000,"n":"boot","v":4},{"n":"seq","v":1},{{records}},{"n":"level","u":"m","v":1}]""";
        var batch = Wire.StoreBatch(message);
        var decoded = Assert.IsType<DecodeResult.Decoded>(Wire.Read(Wire.Store, message));

        Assert.Equal((4, 1), (batch.Boot, batch.FirstSeq));
        Assert.Single(batch.Readings);
        Assert.Equal(isKept ? (3, 992) : null, decoded.PreviousBoot);
    }

    [Fact]
    public void Records_may_come_channel_by_channel()
    {
        var batch = Wire.WeatherBatch(
            """
            [{"bt":1790000000,"n":"boot","v":1},{"n":"seq","v":7},
             {"n":"temp","u":"Cel","v":11},{"n":"temp","u":"Cel","t":60,"v":12},
             {"n":"rain","u":"m","v":0.0102},{"n":"rain","u":"m","t":60,"v":0.0104}]
            """
        );

        Assert.Equal([11000, 12000], batch.Readings.Select(reading => reading.TemperatureMillidegreesCelsius));
        Assert.Equal([10200L, 10400L], batch.Readings.Select(reading => reading.RainTotalMicrometres));
    }

    [Fact]
    public void A_clock_set_back_inside_a_message_keeps_the_numbers_in_order_of_appearance()
    {
        var batch = Wire.StoreBatch(
            """[{"bt":1790000000,"n":"boot","v":1},{"n":"seq","v":7},{"n":"level","u":"m","t":5,"v":2},{"n":"level","u":"m","t":3,"v":1}]"""
        );

        Assert.Equal(
            [new LevelReading(1790000005000, 2000), new LevelReading(1790000003000, 1000)],
            batch.Readings.ToArray()
        );
    }

    [Fact]
    public void A_channel_this_hub_does_not_know_is_counted_and_left_out()
    {
        var result = Wire.Read(
            Wire.Spread,
            Wire.SpreadWith(
                """{"n":"heading","u":"deg","v":12.5},{"n":"note","vs":"headland"},{"n":"raw","vd":"AQI"}"""
            )
        );

        var decoded = Assert.IsType<DecodeResult.Decoded>(result);
        Assert.Equal(3, decoded.UnknownRecords);
        var batch = Assert.IsType<SpreadingMeasured>(decoded.Event).Batch;
        Assert.Equal([new SpreadReading(1790000000000, LatitudeE7: 445000000)], batch.Readings.ToArray());
    }

    [Fact]
    public void A_time_with_unknown_channels_only_still_counts_as_a_reading()
    {
        var batch = Wire.SpreadBatch(
            Wire.SpreadWith("""{"n":"heading","t":1,"u":"deg","v":12.5},{"n":"lat","t":2,"u":"lat","v":44.6}""")
        );

        Assert.Equal(3, batch.Readings.Length);
        Assert.Equal(new SpreadReading(1790000001000), batch.Readings[1]);
        Assert.Equal(446000000, batch.Readings[2].LatitudeE7);
    }

    [Theory]
    [InlineData("""{"n":"width","u":"m","v":0.0005}""", 1)]
    [InlineData("""{"n":"width","u":"m","v":0.00049}""", 0)]
    [InlineData("""{"n":"width","u":"m","v":2.5E-3}""", 3)]
    public void A_value_is_rounded_once_half_away_from_zero(string record, int millimetres)
    {
        Assert.Equal(millimetres, Wire.SpreadBatch(Wire.SpreadWith(record)).Readings[0].WidthMillimetres);
    }

    [Fact]
    public void Half_a_step_below_zero_is_rounded_away_from_zero_too()
    {
        var batch = Wire.SpreadBatch(Wire.SpreadWith("""{"n":"lon","u":"lon","v":-0.00000005}"""));

        Assert.Equal(-1, batch.Readings[0].LongitudeE7);
    }

    [Fact]
    public void A_message_may_hold_six_hundred_readings_and_not_one_more()
    {
        var readings = Enumerable.Range(0, 600).Select(i => new LevelReading(1790000000000 + (i * 1000L), i)).ToList();
        var full = SenmlText.Message(SenmlText.Store, 1, 1, readings);

        Assert.Equal(readings, Wire.StoreBatch(full).Readings.ToArray());
        readings.Add(new(1790000600000, 600));
        var over = SenmlText.Message(SenmlText.Store, 1, 1, readings);
        Assert.Contains("more than 600 readings", Wire.Rejection(Wire.Store, over), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(null)]
    [InlineData("")]
    [InlineData("application/senml+json")]
    [InlineData("Application/SenML+JSON; charset=utf-8")]
    public void Senml_json_is_read_with_and_without_its_content_type(string? contentType)
    {
        var result = Wire.Read(Wire.Spread, Wire.SpreadWith("""{"n":"p","u":"kg/m3","v":0.5}"""), contentType);

        Assert.IsType<DecodeResult.Decoded>(result);
    }

    [Theory]
    [InlineData("application/senml+cbor")]
    [InlineData("application/sensml+json")]
    [InlineData("text/plain")]
    public void Another_content_type_is_rejected_by_name(string contentType)
    {
        Assert.Contains(
            $"'{contentType}'",
            Wire.Rejection(Wire.Spread, Wire.SpreadWith("{}"), contentType),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void Every_stream_of_the_journal_has_its_message()
    {
        foreach (var stream in Enum.GetValues<TelemetryStream>())
            Assert.Contains(
                "no boot",
                Wire.Rejection($"agri/v1/f/e/{stream.ToString().ToLowerInvariant()}", "[]"),
                StringComparison.Ordinal
            );
    }
}
