using System.IO.Compression;
using System.Text;
using System.Text.Json;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Telemetry;

namespace NutrientLedger.Tests.Ledger.Sampling;

/// <summary>
/// The demo farm's season from its files: lines by the independent recomputation, laboratory reports, readings and
/// truth.
/// </summary>
internal sealed class DemoSeason
{
    private readonly string folder = Find();

    public JsonElement Read(string file) =>
        JsonDocument.Parse(File.ReadAllBytes(Path.Combine(folder, file))).RootElement;

    public IReadOnlyList<KeyValuePair<LineKey, LineAmounts>> Lines()
    {
        var expected = Read("expected.json");
        string[] columns = [.. expected.GetProperty("lineColumns").EnumerateArray().Select(name => name.GetString()!)];
        return
        [
            .. expected
                .GetProperty("lines")
                .EnumerateArray()
                .Select(row => Line(columns.Zip(row.EnumerateArray()).ToDictionary(it => it.First, it => it.Second))),
        ];
    }

    /// <summary>
    /// Laboratory value and sensor value of the same flow, in mg/L. The sensor's mean is weighted by flow.
    /// </summary>
    public IEnumerable<(string ReportId, double Laboratory, double Sensor)> Pairs(
        string printedAs,
        Func<SpreadReading, int?> content
    )
    {
        var readings = Readings("drag-line");
        foreach (var report in Read("larch-hollow-laboratory.json").GetProperty("reports").EnumerateArray())
        {
            var from = report.GetProperty("sampledFrom").GetDateTimeOffset().ToUnixTimeMilliseconds();
            var to = report.GetProperty("sampledTo").GetDateTimeOffset().ToUnixTimeMilliseconds();
            var passed = readings
                .Where(it => it.MeasuredAtMilliseconds >= from && it.MeasuredAtMilliseconds < to)
                .Where(it => it.Engaged == true && content(it) is not null)
                .ToArray();
            Assert.InRange(passed.Length, 300, 600);
            var value = report.GetProperty("values").EnumerateArray().Single(it => Text(it, "what") == printedAs);
            Assert.Equal("kg/m3", Text(value, "unit"));
            yield return (
                Text(report, "id"),
                value.GetProperty("value").GetDouble() * 1000,
                passed.Sum(it => (double)it.FlowMillilitresPerSecond!.Value * content(it)!.Value)
                    / passed.Sum(it => (double)it.FlowMillilitresPerSecond!.Value)
            );
        }
    }

    private SpreadReading[] Readings(string device) =>
        [
            .. Directory
                .GetFiles(Path.Combine(folder, "streams"), $"2025-*-{device}.jsonl.gz")
                .SelectMany(Batches)
                .SelectMany(batch =>
                    batch.Readings.Select((reading, i) => (batch.Boot, Seq: batch.FirstSeq + i, reading))
                )
                .DistinctBy(it => (it.Boot, it.Seq))
                .Select(it => it.reading),
        ];

    private static IEnumerable<ReadingBatch<SpreadReading>> Batches(string file)
    {
        using var lines = new StreamReader(new GZipStream(File.OpenRead(file), CompressionMode.Decompress));
        while (lines.ReadLine() is { } line)
        {
            using var message = JsonDocument.Parse(line);
            var payload = Encoding.UTF8.GetBytes(message.RootElement.GetProperty("payload").GetRawText());
            var result = MessageDecoder.Decode(Text(message.RootElement, "topic"), null, payload);
            yield return ((SpreadingMeasured)((DecodeResult.Decoded)result).Event).Batch;
        }
    }

    private static KeyValuePair<LineKey, LineAmounts> Line(Dictionary<string, JsonElement> row)
    {
        string Id(string column) => row[column].GetString()!;
        AnalyteSums Sums(string analyte) =>
            new(Int128.Parse(row[$"{analyte}Sum"].GetRawText()), row[$"{analyte}WithoutMl"].GetInt64());
        return KeyValuePair.Create(
            new LineKey(
                Id("field"),
                row["season"].GetInt32(),
                row["hourMs"].GetInt64() / 1000,
                Id("applicator"),
                Id("pit"),
                Id("sensor")
            ),
            new LineAmounts
            {
                VolumeMillilitres = row["volumeMl"].GetInt64(),
                TotalNitrogen = Sums("tn"),
                AmmoniumNitrogen = Sums("nh4n"),
            }
        );
    }

    private static string Text(JsonElement of, string property) => of.GetProperty(property).GetString()!;

    private static string Find()
    {
        var at = new DirectoryInfo(AppContext.BaseDirectory);
        while (!Directory.Exists(Path.Combine(at.FullName, "demo-streams")))
            at = at.Parent ?? throw new InvalidOperationException("demo-streams is not above the test folder.");
        return Path.Combine(at.FullName, "demo-streams");
    }
}
