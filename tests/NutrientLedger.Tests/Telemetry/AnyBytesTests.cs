using System.Text;
using CsCheck;
using NutrientLedger.Journal.Codecs;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Weather;
using NutrientLedger.Telemetry;

namespace NutrientLedger.Tests.Telemetry;

public sealed class AnyBytesTests
{
    private const string Sound = """
        [{"bn":"","bt":1790000000.0,"bu":"count","bver":10,"n":"boot","v":3},{"n":"seq","v":41},
         {"n":"lat","u":"lat","v":44.1234567},{"n":"lon","u":"lon","v":-88.7654321},{"n":"engaged","vb":true},
         {"n":"flow","u":"m3/s","v":0.0315},{"n":"total","t":0.2,"u":"m3","v":1234.567891},{"n":"x","vs":"a\u00e9\n"},
         {"n":"dm","t":0.4,"u":"/","v":0.0425},{"n":"lat","u":"lat","t":0.4,"v":44.5}]
        """;

    private static readonly string[] Splices =
    [
        "NaN",
        "1e999",
        "-1e308",
        "null",
        "\"",
        "\\ud800",
        "\\u0000",
        "[[[[[[[[[",
        "{",
        "}",
        ",",
        "\"v\":1,",
        "\"bv\":-1e308,",
        "\"x_\":1,",
        "\0",
        "\ufeff",
        "4503599627370497.5",
    ];

    [Fact]
    public void Two_thousand_broken_messages_all_get_a_result()
    {
        var random = new Random(20261124);
        var rejected = 0;
        for (var i = 0; i < 2000; i++)
        {
            var result = MessageDecoder.Decode(Wire.Spread, null, Broken(random));
            if (result is DecodeResult.Rejected { Reason: var reason })
            {
                rejected++;
                Assert.All(reason, character => Assert.InRange(character, ' ', '~'));
            }
            else
            {
                // Whatever decodes must be fit to be stored.
                var batch = Assert.IsType<SpreadingMeasured>(((DecodeResult.Decoded)result).Event).Batch;
                var stored = BatchCodec.Decode<SpreadReading>(BatchCodec.Encode(batch));
                Assert.Equal(batch.Readings.ToArray(), stored.Readings.ToArray());
            }
        }
        Assert.InRange(rejected, 1000, 1999);
    }

    [Fact]
    public void Random_bytes_get_a_result() =>
        Gen
            .Byte.Array[0, 200]
            .Sample(
                bytes => MessageDecoder.Decode(Wire.Spread, null, bytes) is DecodeResult.Rejected,
                seed: "0000KeVbF6R5"
            );

    [Fact]
    public void What_a_device_writes_is_what_is_read()
    {
        var spread = Gen.Select(
            Gen.Int[-900_000_000, 900_000_000].Nullable(),
            Gen.Int[-1_800_000_000, 1_800_000_000].Nullable(),
            Gen.Int[0, 30_000].Nullable(),
            Gen.Int[0, 60_000].Nullable(),
            Gen.Bool.Nullable(),
            Gen.Int[0, 1_000_000].Nullable(),
            Gen.Long[0, 10_000_000_000_000].Nullable(),
            Gen.Int[0, 50_000].Nullable()
        );
        spread
            .Array[1, 40]
            .Sample(
                drawn =>
                {
                    var readings = drawn
                        .Select(
                            (r, i) =>
                                new SpreadReading(
                                    1790000000000 + (i * 137),
                                    r.Item1 ?? i,
                                    r.Item2,
                                    r.Item3,
                                    r.Item4,
                                    r.Item5,
                                    r.Item6,
                                    r.Item7,
                                    r.Item8 * 20,
                                    r.Item8,
                                    r.Item8 / 2,
                                    r.Item8 / 3,
                                    r.Item8 / 4
                                )
                        )
                        .ToArray();
                    var batch = Wire.SpreadBatch(SenmlText.Message(SenmlText.Spread, 9, 12345, readings));
                    Assert.Equal((9, 12345), (batch.Boot, batch.FirstSeq));
                    Assert.Equal(readings, batch.Readings.ToArray());
                },
                seed: "0000KeVbF6R5",
                iter: 200
            );
    }

    [Fact]
    public void Weather_is_read_as_written()
    {
        WeatherReading[] readings =
        [
            new(1790000000001, -60_000, 0, 0, 110_000),
            new(1790000000002, 100_000, 100_000, 100_000_000, 0),
            new(1790000000999, 1, 1, 1, 1),
        ];

        Assert.Equal(
            readings,
            Wire.WeatherBatch(SenmlText.Message(SenmlText.Weather, 0, 1, readings)).Readings.ToArray()
        );
    }

    private static byte[] Broken(Random random)
    {
        var bytes = Encoding.UTF8.GetBytes(Sound).ToList();
        for (var cuts = random.Next(1, 4); cuts > 0; cuts--)
        {
            var at = random.Next(bytes.Count);
            switch (random.Next(5))
            {
                case 0:
                    bytes[at] = (byte)random.Next(256);
                    break;
                case 1:
                    bytes.RemoveRange(at, Math.Min(random.Next(1, 20), bytes.Count - at));
                    break;
                case 2:
                    bytes.InsertRange(at, bytes.GetRange(at, Math.Min(30, bytes.Count - at)));
                    break;
                case 3:
                    bytes.InsertRange(at, Encoding.UTF8.GetBytes(Splices[random.Next(Splices.Length)]));
                    break;
                default:
                    bytes.RemoveRange(at, bytes.Count - at);
                    break;
            }
            if (bytes.Count == 0)
                break;
        }
        return [.. bytes];
    }
}
