using System.Diagnostics;
using System.Net.Http.Json;
using NutrientLedger.Journal;

namespace NutrientLedger.Benchmarks;

/// <summary>
/// What corrections of a big farm cost: the time until a tenth of its fields, drawn anew, is read; how long messages of another
/// farm take meanwhile; and the time from adopting a calibration to the balance that follows it, over the API.
/// </summary>
internal static class CorrectionBenchmark
{
    private const int Times = 5;
    private const int Seconds = 10;
    private const int MessagesPerSecond = 50;
    private const long Boot = 3_000_000;

    public static async Task RunAsync(BenchHub hub, string farm)
    {
        var took = new List<double>();
        for (var i = 1; i <= Times; i++)
            took.Add(await RedrawAsync(hub, farm, i));
        Console.WriteLine($"A tenth of the fields drawn anew, until read: {Text(took, "0.00")} s");

        var quiet = new LiveTraffic(hub, machines: 10, MessagesPerSecond, Boot);
        await quiet.RunAsync(warmUpSeconds: 2, Task.Delay(TimeSpan.FromSeconds(Seconds)));
        var beside = new LiveTraffic(hub, machines: 10, MessagesPerSecond, Boot + 1);
        var corrections = 0;
        await beside.RunAsync(warmUpSeconds: 2, CorrectAsync());
        Console.WriteLine(
            $"Another farm's messages, published to line read: p50 {quiet.Visible(0.5):0} ms, p99 {quiet.Visible(0.99):0} ms; with {corrections} corrections one after another p50 {beside.Visible(0.5):0} ms, p99 {beside.Visible(0.99):0} ms ({beside.Visible(0.99) / quiet.Visible(0.99):0.00} times)"
        );
        await hub.SettleAsync();

        var (adopted, both) = (new List<double>(), new List<double>());
        for (var i = 0; i <= Times; i++)
        {
            var (adopting, visible) = await CalibrateAsync(hub, farm, i);
            // The first question pays for compiling code, which is not what is measured.
            if (i == 0)
                continue;
            adopted.Add(adopting);
            both.Add(visible);
        }
        Console.WriteLine(
            $"A calibration adopted, with the answer what it changes: {Text(adopted, "0")} ms; until the new balance was answered: {Text(both, "0")} ms"
        );

        async Task CorrectAsync()
        {
            var watch = Stopwatch.StartNew();
            while (watch.Elapsed < TimeSpan.FromSeconds(Seconds + 2))
                await RedrawAsync(hub, farm, Times + ++corrections);
        }
    }

    private static async Task<double> RedrawAsync(BenchHub hub, string farm, int parts)
    {
        IEntry[] entries = [.. Enumerable.Range(0, ReplaySeason.Fields / 10).Select(i => BenchFarm.Redrawn(i, parts))];
        var register = await hub.Registers.ReadAsync(farm, asOf: null, CancellationToken.None);
        var watch = Stopwatch.StartNew();
        await hub.Registers.RecordAsync(farm, register.Place, entries, CancellationToken.None);
        var position = (await hub.Registers.ReadAsync(farm, asOf: null, CancellationToken.None)).Entries[^1].Position;
        while (
            await hub.Ledger.LinesAsync(farm, season: 0, asOf: null, CancellationToken.None) is var read
            && (read.Position < position || read.IsBeingCorrected)
        )
            await Task.Delay(5);
        return watch.Elapsed.TotalSeconds;
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
                adoptedBy = "A person",
                why = "The laboratory finds more",
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
