using System.Text.Json;
using NutrientLedger.Ledger.Coverage;
using NutrientLedger.Ledger.Levels;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Persistence.Gaps;
using NutrientLedger.Persistence.Queries;

namespace NutrientLedger.Integration.Tests.Demo;

/// <summary>
/// Results of an independent program (tests/recompute, in Python) for the recorded season, stored next to the streams.
/// Volumes, masses and counts must agree exactly, areas to one in a million, cells to one in a hundred thousand.
/// </summary>
internal static class ExpectedSeason
{
    private static readonly string[] Analytes = ["dm", "tn", "nh4n", "p", "k"];

    public static string Folder { get; } = Find();

    /// <summary>
    /// The recomputation of some streams with their decisions, as a path relative to the recorded season.
    /// </summary>
    public const string Decided = "../tests/recompute/expected-decided.json";

    /// <summary>Checks a posted ledger against the recomputation, line by line and field by field.</summary>
    public static void AssertSame(LedgerView ledger, string file = "expected.json")
    {
        using var expected = Read(file);
        var columns = expected.RootElement.GetProperty("lineColumns").EnumerateArray().Select(c => c.GetString()!);
        var lines = expected
            .RootElement.GetProperty("lines")
            .EnumerateArray()
            .Select(row => columns.Zip(row.EnumerateArray()).ToDictionary(cell => cell.First, cell => cell.Second))
            .ToDictionary(Key);
        // The recomputation leaves out lines without any amount.
        var posted = ledger.Lines.Where(line => line.Value != LineAmounts.None).ToArray();
        Assert.Equal(lines.Keys.Order(), posted.Select(line => Key(line.Key)).Order());
        foreach (var (key, amounts) in posted)
            AssertLine(lines[Key(key)], amounts, Key(key));
        var flags = ledger.Lines.SelectMany(line => line.Value.Flagged.ByRule.Select(part => Flag(line.Key, part)));
        Assert.Equal(expected.RootElement.GetProperty("flags").EnumerateArray().Select(Flag).Order(), flags.Order());
        foreach (var field in expected.RootElement.GetProperty("fields").EnumerateArray())
            AssertCoverage(field, ledger.Coverage);
    }

    /// <summary>Checks what the hub knows of the devices: stored readings, questionable readings and gaps.</summary>
    public static void AssertSame(IReadOnlyList<DeviceState> devices)
    {
        using var expected = Read("expected.json");
        foreach (var device in expected.RootElement.GetProperty("devices").EnumerateArray())
        {
            var (equipment, stream) = (
                device.GetProperty("equipment").GetString(),
                device.GetProperty("stream").GetString()
            );
            var known = Assert.Single(
                devices,
                d =>
                    d.EquipmentId == equipment
                    && string.Equals($"{d.Stream}", stream, StringComparison.OrdinalIgnoreCase)
            );
            Assert.Equal(device.GetProperty("stored").GetInt64(), known.ReadingsStored);
            Assert.Equal(device.GetProperty("questionable").GetInt64(), known.ReadingsQuestionable);
            Assert.Equal(
                device
                    .GetProperty("gaps")
                    .EnumerateArray()
                    .Select(gap => new MissingNumbers(gap[0].GetInt64(), gap[1].GetInt64(), gap[2].GetInt64())),
                known.Gaps
            );
        }
    }

    /// <summary>Checks all posted levels of a pit together.</summary>
    public static void AssertSame(string pitId, IEnumerable<LevelHour> hours, string file)
    {
        using var expected = Read(file);
        var pit = expected
            .RootElement.GetProperty("pits")
            .EnumerateArray()
            .Single(row => row.GetProperty("pit").GetString() == pitId);
        var all = hours.Aggregate((sum, hour) => sum.Merge(hour));
        Assert.Equal(
            ["levels", "sumMm", "lowestMm", "highestMm", "lastMs", "lastMm"],
            pit.EnumerateObject().Skip(1).Select(column => column.Name)
        );
        Assert.Equal(
            pit.EnumerateObject().Skip(1).Select(column => column.Value.GetInt64()),
            [
                all.Readings,
                all.SumMillimetres,
                all.LowestMillimetres,
                all.HighestMillimetres,
                all.LastAtMilliseconds,
                all.LastMillimetres,
            ]
        );
    }

    private static void AssertLine(Dictionary<string, JsonElement> expected, LineAmounts amounts, string line)
    {
        void Same(string column, Int128 actual) =>
            Assert.True(
                Int128.Parse(expected[column].GetRawText()) == actual,
                $"{line}: {column} is {actual}, recomputed {expected[column]}"
            );
        Same("volumeMl", amounts.VolumeMillilitres);
        Same("disengagedMl", amounts.DisengagedMillilitres);
        Same("notPlacedMl", amounts.NotPlacedMillilitres);
        Same("unknownIntervals", amounts.UnknownIntervals);
        Same("intervals", amounts.Intervals);
        Same("flaggedMl", amounts.FlaggedMillilitres);
        Same("lastMeasuredMs", amounts.LastMeasuredAtMilliseconds);
        AnalyteSums[] sums =
        [
            amounts.DryMatter,
            amounts.TotalNitrogen,
            amounts.AmmoniumNitrogen,
            amounts.Phosphorus,
            amounts.Potassium,
        ];
        foreach (var (name, sum) in Analytes.Zip(sums))
        {
            Same($"{name}Sum", sum.WeightedSum);
            Same($"{name}WithoutMl", sum.MillilitresWithout);
        }
        AssertClose(expected["areaTravelledCm2"].GetDouble(), amounts.AreaTravelledSquareCentimetres, 1e-6, line);
    }

    private static void AssertCoverage(JsonElement expected, IReadOnlyList<CoverageRows> coverage)
    {
        var field = expected.GetProperty("field").GetString()!;
        if (field.Length == 0)
            return;
        var season = expected.GetProperty("season").GetInt32();
        var rows = Assert.Single(coverage, c => c.FieldId == field && c.Season == season).Rows;
        var what = $"{field} {season}";
        AssertClose(
            expected.GetProperty("coveredCells").GetDouble(),
            rows.Values.Sum(r => (long)r.Covered),
            1e-5,
            what
        );
        AssertClose(
            expected.GetProperty("overlappedCells").GetDouble(),
            rows.Values.Sum(r => (long)r.Overlapped),
            1e-5,
            what
        );
    }

    private static void AssertClose(double expected, double actual, double relative, string what) =>
        Assert.True(
            Math.Abs(expected - actual) <= Math.Max(relative * Math.Abs(expected), 0.5),
            $"{what}: {actual}, recomputed {expected}"
        );

    private static string Flag(JsonElement row) => string.Join('|', row.EnumerateArray().Select(cell => $"{cell}"));

    private static string Flag(LineKey key, KeyValuePair<FlagRule, FlaggedSums> part)
    {
        var sums = part.Value;
        AnalyteSums[] of = [sums.DryMatter, sums.TotalNitrogen, sums.AmmoniumNitrogen, sums.Phosphorus, sums.Potassium];
        return string.Join(
            '|',
            [
                $"{key.FieldId}|{key.Season}|{key.HourStartSeconds * 1000}|{key.ApplicatorId}|{key.PitId}|{key.SensorId}",
                $"{part.Key}|{sums.Intervals}|{sums.Millilitres}",
                .. of.Select(analyte => $"{analyte.WeightedSum}"),
                .. of.Select(analyte => $"{analyte.MillilitresWithout}"),
            ]
        );
    }

    private static string Key(Dictionary<string, JsonElement> row) =>
        $"{row["field"]}|{row["season"]}|{row["hourMs"].GetInt64() / 1000}|{row["applicator"]}|{row["pit"]}|{row["sensor"]}";

    private static string Key(LineKey key) =>
        $"{key.FieldId}|{key.Season}|{key.HourStartSeconds}|{key.ApplicatorId}|{key.PitId}|{key.SensorId}";

    private static JsonDocument Read(string file) => JsonDocument.Parse(File.ReadAllBytes(Path.Combine(Folder, file)));

    private static string Find()
    {
        for (var at = new DirectoryInfo(AppContext.BaseDirectory); at is not null; at = at.Parent)
            if (Directory.Exists(Path.Combine(at.FullName, "demo-streams")))
                return Path.Combine(at.FullName, "demo-streams");
        throw new InvalidOperationException("demo-streams is not above the test folder.");
    }
}
