using System.Diagnostics;
using System.Net.Http.Json;
using Npgsql;

namespace NutrientLedger.Benchmarks;

/// <summary>
/// What corrections of a big farm cost: the time until new boundaries of a tenth of its fields are read; how long
/// messages of another farm take meanwhile; and the time from adopting a calibration to the new balance, over the API.
/// </summary>
internal static class CorrectionBenchmark
{
    private const int Times = 5;

    /// <summary>
    /// Fills a season of so many readings in live messages of 1, 5 and 10 and measures corrections of it.
    /// </summary>
    public static async Task FillAndRunAsync(BenchHub hub, BenchDatabase database, int readings)
    {
        const string Farm = "bench-live";
        var batches = await ReplaySeason.FillAsync(hub, Farm, readings, 1, 5, 10);
        Console.WriteLine($"{Farm}: {readings} readings in {batches} batches over {ReplaySeason.Fields} fields");
        await using var source = NpgsqlDataSource.Create(database.ConnectionString);
        await using (var vacuum = source.CreateCommand("vacuum analyze"))
            await vacuum.ExecuteNonQueryAsync();
        await RunAsync(hub, Farm);
    }

    public static async Task RunAsync(BenchHub hub, string farm)
    {
        var took = new List<double>();
        for (var i = 1; i <= Times; i++)
            took.Add(await BackgroundBenchmark.RedrawAsync(hub, farm, i));
        Console.WriteLine($"A tenth of the fields redrawn, until read: {Text(took, "0.00")} s");

        await new BackgroundBenchmark(hub, farm).RunAsync();

        var (adopted, both) = (new List<double>(), new List<double>());
        for (var i = 0; i <= Times; i++)
        {
            var (adopting, visible) = await CalibrateAsync(hub, farm, i);
            // The first query includes JIT compilation, which is not measured.
            if (i == 0)
                continue;
            adopted.Add(adopting);
            both.Add(visible);
        }
        Console.WriteLine(
            $"A calibration adopted, with the answer what it changes: {Text(adopted, "0")} ms; until the new balance was answered: {Text(both, "0")} ms"
        );
    }

    private static async Task<(double Adopted, double Visible)> CalibrateAsync(BenchHub hub, string farm, int number)
    {
        var watch = Stopwatch.StartNew();
        using var adopted = await hub.Page.PostAsJsonAsync(
            $"/api/farms/{farm}/calibrations",
            new
            {
                calibration = $"nitrogen-{number}",
                sensor = "nir-13",
                analyte = "totalNitrogen",
                slope = 1.1m + (number / 100m),
                validFrom = "2026-06-01T12:00:00Z",
                by = "A person",
                reason = "The laboratory finds more",
            }
        );
        adopted.EnsureSuccessStatusCode();
        var adopting = watch.Elapsed.TotalMilliseconds;
        var answer = await hub.Page.GetStringAsync($"/api/farms/{farm}/fields/field-13/balance");
        return answer.Contains("elementalAsMeasured\":{", StringComparison.Ordinal)
            ? (adopting, watch.Elapsed.TotalMilliseconds)
            : throw new InvalidOperationException($"The balance does not follow the calibration: {answer}");
    }

    private static string Text(List<double> values, string form)
    {
        values.Sort();
        return $"{values[values.Count / 2].ToString(form)} [{string.Join(' ', values.Select(v => v.ToString(form)))}]";
    }
}
