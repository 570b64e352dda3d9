using System.Text;
using NutrientLedger.Telemetry;

namespace NutrientLedger.Tests.Telemetry;

public sealed class RejectionTests
{
    [Theory]
    [InlineData("""{"n":"lon","u":"lon","v":181}""", "Reading 1: lon is 181 lon, outside -180 to 180")]
    [InlineData("""{"n":"lon","u":"lon","v":-180.0000001}""", "outside -180 to 180")]
    [InlineData("""{"n":"speed","u":"m/s","v":30.001}""", "speed is 30.001 m/s, outside 0 to 30")]
    [InlineData("""{"n":"width","u":"m","v":60.5}""", "outside 0 to 60")]
    [InlineData("""{"n":"flow","u":"m3/s","v":1.1}""", "outside 0 to 1")]
    [InlineData("""{"n":"total","u":"m3","v":1e8}""", "outside 0 to 10000000")]
    [InlineData("""{"n":"dm","u":"/","v":4.2}""", "outside 0 to 1")]
    [InlineData("""{"n":"tn","t":1,"u":"kg/m3","v":51}""", "Reading 2: tn is 51 kg/m3, outside 0 to 50")]
    [InlineData("""{"n":"lon","u":"deg","v":1}""", "lon must have the unit lon")]
    [InlineData("""{"n":"dm","u":"%","v":0.5}""", "dm must have the unit /")]
    [InlineData("""{"n":"flow","u":"l/s","v":0.5}""", "flow must have the unit m3/s")]
    [InlineData("""{"n":"flow","v":0.5}""", "flow must have the unit m3/s")]
    [InlineData("""{"n":"engaged","v":1}""", "engaged must be sent as vb")]
    [InlineData("""{"n":"speed","u":"m/s","vb":true}""", "speed must be sent as a number")]
    [InlineData("""{"n":"speed","u":"m/s","vs":"2"}""", "speed must be sent as a number")]
    [InlineData("""{"n":"lat","u":"lat","v":44.6}""", "lat appears twice at the same time")]
    [InlineData("""{"n":"lat","t":0.0004,"u":"lat","v":44.6}""", "lat appears twice at the same time")]
    [InlineData("""{"n":"boot","v":3}""", "boot appears twice")]
    [InlineData("""{"n":"lastseq","v":1.5}""", "lastseq is 1.5; it must be a whole number")]
    [InlineData("""{"n":"lastboot","u":"s","v":1}""", "lastboot must have the unit count")]
    [InlineData("""{"n":"lastboot","vs":"x"}""", "lastboot must be sent as a number")]
    [InlineData("""{"n":"speed","u":"m/s","v":1,"s":4}""", "sums over time are not supported")]
    [InlineData("""{"bs":4,"n":"speed","u":"m/s","v":1}""", "sums over time are not supported")]
    [InlineData("""{"n":"speed","u":"m/s"}""", "must have exactly one of v, vb, vs and vd")]
    [InlineData("""{"n":"x","v":1,"vs":"1"}""", "must have exactly one of v, vb, vs and vd")]
    [InlineData("""{"n":"speed","u":"m/s","v":1,"v":2}""", "Record 4 has 'v' twice")]
    [InlineData("""{"n":"speed","u":"m/s","v":1,"\u0076":2}""", "has 'v' twice")]
    [InlineData("""{"n":"speed","u":"m/s","v":"1"}""", "'v' that is not a finite JSON number")]
    [InlineData("""{"n":"speed","u":"m/s","v":null}""", "'v' that is not a finite JSON number")]
    [InlineData("""{"n":"speed","u":"m/s","v":"NaN"}""", "'v' that is not a finite JSON number")]
    [InlineData("""{"n":"x","v":1e999}""", "'v' that is not a finite JSON number")]
    [InlineData("""{"n":"x","v":NaN}""", "not valid JSON")]
    [InlineData("""{"n":"x","v":-Infinity}""", "not valid JSON")]
    [InlineData("""{"bv":1.7e308,"n":"x","v":1.7e308}""", "not finite once its base is added")]
    [InlineData("""{"n":"x","vb":"true"}""", "that is neither true nor false")]
    [InlineData("""{"n":"x","vs":1}""", "that is not a JSON string")]
    [InlineData("""{"n":7,"v":1}""", "'n' that is not a JSON string")]
    [InlineData("""{"n":"x","u":null,"v":1}""", "'u' that is not a JSON string")]
    [InlineData("""{"v":1}""", "has no name")]
    [InlineData("""{"n":"_x","v":1}""", "characters that RFC 8428")]
    [InlineData("""{"n":"x y","v":1}""", "characters that RFC 8428")]
    [InlineData("""{"n":"\u0000","v":1}""", "characters that RFC 8428")]
    [InlineData("""{"n":"\ud800","v":1}""", "broken escape")]
    [InlineData("""{"n":"x","t":"now","v":1}""", "'t' that is not a finite JSON number")]
    [InlineData("""{"bt":-1,"n":"x","v":1}""", "relative to the moment of sending")]
    [InlineData("""{"bt":0,"n":"x","t":268435455,"v":1}""", "relative to the moment of sending")]
    [InlineData("""{"bt":631151999,"n":"x","v":1}""", "outside the years 1990 to 2099")]
    [InlineData("""{"bt":4102444800,"n":"x","v":1}""", "outside the years 1990 to 2099")]
    [InlineData("""7""", "Record 4 is not a JSON object")]
    [InlineData("""[]""", "Record 4 is not a JSON object")]
    [InlineData("""{"n":"x","v":1,"y":[[[[[[[[]]]]]]]]}""", "not valid JSON")]
    public void An_impossible_or_unknown_record_is_rejected_with_its_reason(string record, string reason)
    {
        Assert.Contains(reason, Wire.Rejection(Wire.Spread, Wire.SpreadWith(record)), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("", "not valid JSON")]
    [InlineData(" ", "not valid JSON")]
    [InlineData("{}", "not a JSON array")]
    [InlineData("null", "not a JSON array")]
    [InlineData("[", "not valid JSON")]
    [InlineData("[]", "no boot")]
    [InlineData("[] x", "not valid JSON")]
    [InlineData("[][]", "not valid JSON")]
    [InlineData("""[{"n":"boot","v":1}]""", "no boot or no seq")]
    [InlineData("""[{"n":"seq","v":1}]""", "no boot or no seq")]
    [InlineData("""[{"n":"boot","v":1},{"n":"seq","v":1}]""", "no readings")]
    [InlineData("""[{"n":"boot","v":-1},{"n":"seq","v":1}]""", "boot is -1; it must be a whole number from 0")]
    [InlineData("""[{"n":"boot","v":1},{"n":"seq","v":0}]""", "seq is 0; it must be a whole number from 1")]
    [InlineData("""[{"n":"boot","v":1},{"n":"seq","v":1e300}]""", "seq is 1E+300; it must be a whole number")]
    [InlineData(
        """[{"bn":"urn:dev:a:","bt":1790000000,"n":"boot","v":1},{"n":"seq","v":1},{"n":"level","u":"m","v":1}]""",
        "after the base name"
    )]
    [InlineData(
        """[{"bt":1790000000,"n":"boot","v":1},{"n":"seq","v":9007199254740992},{"n":"level","u":"m","v":1},{"n":"level","t":1,"u":"m","v":1}]""",
        "beyond 2^53"
    )]
    public void An_incomplete_message_is_rejected_with_its_reason(string payload, string reason)
    {
        Assert.Contains(reason, Wire.Rejection(Wire.Store, payload), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("store", "level", "m", 50.1)]
    [InlineData("store", "level", "m", -1.1)]
    [InlineData("store", "temp", "Cel", 100.5)]
    [InlineData("weather", "temp", "Cel", -61)]
    [InlineData("weather", "wind", "m/s", 101)]
    [InlineData("weather", "rain", "m", 100.1)]
    [InlineData("weather", "rh", "%RH", 111)]
    public void The_other_streams_have_limits_too(string stream, string name, string unit, double value)
    {
        var payload = FormattableString.Invariant(
            $$"""[{"bt":1790000000,"n":"boot","v":1},{"n":"seq","v":1},{"n":"{{name}}","u":"{{unit}}","v":{{value}}}]"""
        );

        Assert.Contains(
            $"Reading 1: {name} is",
            Wire.Rejection($"agri/v1/f/e/{stream}", payload),
            StringComparison.Ordinal
        );
    }

    [Theory]
    [InlineData("")]
    [InlineData("agri/v1/f/e")]
    [InlineData("agri/v1/f/e/spread/x")]
    [InlineData("agri/v2/f/e/spread")]
    [InlineData("Agri/v1/f/e/spread")]
    [InlineData("/agri/v1/f/e/spread")]
    [InlineData("agri/v1//e/spread")]
    [InlineData("agri/v1/f/E/spread")]
    [InlineData("agri/v1/f/e\0/spread")]
    [InlineData("agri/v1/f/+/spread")]
    [InlineData("agri/v1/f/e/harvest")]
    [InlineData("agri/v1/f/e/about")]
    [InlineData("agri/v1/f/a-name-of-forty-one-characters-is-one-more/spread")]
    public void A_topic_outside_the_contract_is_rejected(string topic)
    {
        Assert.NotEmpty(Wire.Rejection(topic, Wire.SpreadWith("""{"n":"lon","u":"lon","v":1}""")));
    }

    [Fact]
    public void Bytes_before_the_array_or_outside_utf_8_are_rejected()
    {
        var sound = Encoding.UTF8.GetBytes(Wire.SpreadWith("""{"n":"note","vs":"?"}"""));
        byte[] withMark = [0xEF, 0xBB, 0xBF, .. sound];
        var broken = sound.ToArray();
        broken[Array.IndexOf(broken, (byte)'?')] = 0xFF;

        Assert.IsType<DecodeResult.Decoded>(MessageDecoder.Decode(Wire.Spread, null, sound));
        Assert.IsType<DecodeResult.Rejected>(MessageDecoder.Decode(Wire.Spread, null, withMark));
        var rejected = Assert.IsType<DecodeResult.Rejected>(MessageDecoder.Decode(Wire.Spread, null, broken));
        Assert.Equal("The message is not valid UTF-8.", rejected.Reason);
    }

    [Fact]
    public void A_message_of_more_than_256_kibibytes_is_rejected_unread()
    {
        var sound = Wire.SpreadWith("""{"n":"lon","u":"lon","v":1}""");
        var full = sound.PadRight(MessageDecoder.BytesMax);

        Assert.IsType<DecodeResult.Decoded>(Wire.Read(Wire.Spread, full));
        Assert.Contains("262145 bytes", Wire.Rejection(Wire.Spread, full + " "), StringComparison.Ordinal);
    }

    [Fact]
    public void An_oversized_base_name_is_rejected()
    {
        var record = $$"""{"bn":"{{new string('a', 300)}}","n":"x","v":1}""";

        Assert.Contains(
            "name of more than 255 bytes",
            Wire.Rejection(Wire.Spread, Wire.SpreadWith(record)),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void A_reason_never_carries_what_a_database_would_reject()
    {
        var reason = Wire.Rejection(Wire.Spread, "[]", "te\0xt/\ud800" + new string('x', 10_000));

        Assert.All(reason, character => Assert.InRange(character, ' ', '~'));
        Assert.InRange(reason.Length, 1, 300);
    }
}
