using System.Text;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.Weather;

namespace NutrientLedger.Tests.Telemetry;

/// <summary>
/// Sound messages of every stream, broken as networks, memory and programs break them: bits, cuts, splices from other
/// messages, extreme numbers, nesting, duplicate fields, wrong types, huge counts. Seeded, so every run is the same.
/// </summary>
internal sealed class MutatedMessages(int seed)
{
    private static readonly string[] Tokens =
    [
        "NaN",
        "Infinity",
        "1e999",
        "-1e308",
        "5e-324",
        "-0.0",
        "9007199254740993",
        "4503599627370497.5",
        "1e15",
        "null",
        "true",
        "\"\"",
        "\"1\"",
        "[]",
        "{}",
        "[[[[[[[[[",
        "{\"v\":",
        "}",
        "]",
        ",",
        ":",
        "\"",
        "\\ud800",
        "\\u0000",
        "\0",
        "\ufeff",
        ",\"v\":1",
        ",\"vb\":true",
        ",\"vs\":\"x\"",
        ",\"bv\":-1e308",
        ",\"bt\":1e308",
        ",\"t\":1e-9",
        ",\"x_\":1",
        ",\"u\":\"m\"",
        ",\"n\":\"lat\"",
        ",\"bver\":99",
        ",\"s\":1",
    ];

    private static readonly string[] Numbers =
    [
        "0",
        "1",
        "0.5",
        "1e-3",
        "3E0",
        "0.25",
        "-1",
        "1e308",
        "-1e308",
        "1e309",
        "5e-324",
        "9007199254740992",
        "9007199254740993",
        "1e7",
        "90.00000001",
        "-180.1",
        "0.00000049999",
        "268435456",
        "4102444800",
        "631152000",
        "\"7\"",
        "null",
        "[1]",
        "{}",
        "true",
        "01",
        "1.",
        "--1",
    ];

    private readonly Random random = new(seed);

    /// <summary>The next message: its topic and its bytes.</summary>
    public (string Topic, byte[] Payload) Next()
    {
        var (topic, text) = Sound();
        var bytes = Encoding.UTF8.GetBytes(text).ToList();
        for (var blows = random.Next(0, 4); blows > 0 && bytes.Count > 0; blows--)
            Break(bytes);
        return (topic, [.. bytes]);
    }

    private (string Topic, string Text) Sound()
    {
        var (boot, seq) = (random.NextInt64(0, 1L << 40), random.NextInt64(1, 1L << 40));
        var count = random.Next(1, 5);
        return random.Next(3) switch
        {
            0 => (Wire.Spread, SenmlText.Message(SenmlText.Spread, boot, seq, Drawn<SpreadReading>(count))),
            1 => (Wire.Store, SenmlText.Message(SenmlText.Store, boot, seq, Drawn<LevelReading>(count))),
            _ => (Wire.Weather, SenmlText.Message(SenmlText.Weather, boot, seq, Drawn<WeatherReading>(count))),
        };
    }

    private TReading[] Drawn<TReading>(int count)
        where TReading : struct, IReading<TReading>
    {
        var readings = new TReading[count];
        for (var i = 0; i < count; i++)
        {
            var row = new long?[TReading.ColumnCount];
            row[0] = 1_790_000_000_000 + (i * 100);
            for (var column = 1; column < row.Length; column++)
                row[column] = column == 1 || random.Next(4) > 0 ? random.Next(2) : null;
            readings[i] = TReading.FromColumns(row);
        }
        return readings;
    }

    private void Break(List<byte> bytes)
    {
        var at = random.Next(bytes.Count);
        switch (random.Next(11))
        {
            case 0:
                bytes[at] ^= (byte)(1 << random.Next(8));
                break;
            case 1:
                bytes.RemoveRange(at, Math.Min(random.Next(1, 20), bytes.Count - at));
                break;
            case 2:
                bytes.RemoveRange(at, bytes.Count - at);
                break;
            case 3:
                bytes.InsertRange(at, bytes.GetRange(at, Math.Min(random.Next(1, 60), bytes.Count - at)));
                break;
            case 4:
                var other = Encoding.UTF8.GetBytes(Sound().Text);
                bytes.InsertRange(at, other[random.Next(other.Length)..]);
                break;
            case 5:
                bytes.InsertRange(at, Encoding.UTF8.GetBytes(Tokens[random.Next(Tokens.Length)]));
                break;
            case 6:
                Repeat(bytes, at);
                break;
            case 7:
                Nest(bytes, at);
                break;
            default:
                ReplaceNumber(bytes, at);
                break;
        }
    }

    /// <summary>Replaces the next number by another.</summary>
    private void ReplaceNumber(List<byte> bytes, int at)
    {
        var from = bytes.FindIndex(at, b => b is >= (byte)'0' and <= (byte)'9');
        if (from < 0)
            return;
        var to = bytes.FindIndex(from, b => b is (byte)',' or (byte)'}' or (byte)']');
        bytes.RemoveRange(from, (to < 0 ? bytes.Count : to) - from);
        bytes.InsertRange(from, Encoding.UTF8.GetBytes(Numbers[random.Next(Numbers.Length)]));
    }

    /// <summary>Repeats a record, or a field of it, sometimes very often.</summary>
    private void Repeat(List<byte> bytes, int at)
    {
        var from = bytes.LastIndexOf((byte)',', at);
        var to = bytes.FindIndex(at, b => b == (byte)',');
        if (from < 0 || to <= from)
            return;
        var part = bytes.GetRange(from, to - from);
        var times = random.Next(200) == 0 ? 3000 : random.Next(1, 4);
        bytes.InsertRange(to, Enumerable.Repeat(part, times).SelectMany(again => again));
    }

    /// <summary>Puts brackets around what follows.</summary>
    private void Nest(List<byte> bytes, int at)
    {
        var depth = random.Next(50) == 0 ? 5000 : random.Next(1, 12);
        var (open, close) = random.Next(2) == 0 ? ("[", "]") : ("{\"v\":", "}");
        bytes.InsertRange(at, Encoding.UTF8.GetBytes(string.Concat(Enumerable.Repeat(open, depth))));
        bytes.AddRange(Encoding.UTF8.GetBytes(string.Concat(Enumerable.Repeat(close, depth))));
    }
}
