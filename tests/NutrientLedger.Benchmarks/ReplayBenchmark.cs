using System.Diagnostics;
using Npgsql;
using NutrientLedger.Persistence.Rebuild;

namespace NutrientLedger.Benchmarks;

/// <summary>
/// A season of fifty fields replayed, in live messages of 1, 5 and 10 readings and in batches of 60: against the floors
/// in the same round, the median round printed; the memory of the command; and what a correction of it costs, itself
/// and others.
/// </summary>
internal static class ReplayBenchmark
{
    public const int ReadingsOfASeason = 2_000_000;

    private const int Rounds = 3;

    public static async Task RunAsync(BenchHub hub, BenchDatabase database, int readings)
    {
        await using var source = NpgsqlDataSource.Create(database.ConnectionString);
        var floors = new ReplayFloors(source);
        await floors.FillAsync(readings);
        Console.WriteLine($"{readings} readings over {ReplaySeason.Fields} fields; seconds, ratios within a round");
        foreach (var (farm, sizes) in new[] { ("bench-batches", new[] { 60 }), ("bench-live", [1, 5, 10]) })
        {
            var watch = Stopwatch.StartNew();
            var batches = await ReplaySeason.FillAsync(hub, farm, readings, sizes);
            Console.WriteLine($"{farm}: {batches} batches, appended and posted in {watch.Elapsed.TotalSeconds:0.0} s");
            await floors.RunAsync("vacuum analyze");
            // The first replay includes JIT compilation, which is not measured.
            await RoundAsync(hub, floors, farm);
            var rounds = new List<Round>();
            for (var i = 0; i < Rounds; i++)
                rounds.Add(await RoundAsync(hub, floors, farm));
            rounds.Sort((a, b) => a.Posted.CompareTo(b.Posted));
            rounds[Rounds / 2].Print(readings);
            Console.WriteLine($"  all rounds posted in {string.Join(' ', rounds.Select(r => $"{r.Posted:0.00}"))} s");
            Console.WriteLine($"  peak memory of the command: {await CommandAsync(farm, database):0} MiB");
        }
        await CorrectionBenchmark.RunAsync(hub, "bench-live");
        await hub.StopAsync();
        await RebuildFloor.RunAsync(database.ConnectionString, "bench-batches", 2L * readings);
    }

    private static async Task<Round> RoundAsync(BenchHub hub, ReplayFloors floors, string farm)
    {
        var copied = await floors.CopyAsync(farm);
        var summed = await floors.SumAsync();
        var watch = new FirstPosted();
        var report = await hub.Replay.RunAsync(farm, switchOver: false, watch, CancellationToken.None);
        if (report.Differences.Count > 0)
            throw new InvalidOperationException($"The replay differs: {string.Join(", ", report.Differences)}");
        return new(copied.TotalSeconds, summed.TotalSeconds, watch.Posted.TotalSeconds, watch.SinceBegin.TotalSeconds);
    }

    /// <summary>Runs the command in its own process. Returns its peak memory in mebibytes.</summary>
    private static async Task<double> CommandAsync(string farm, BenchDatabase database)
    {
        var hub = Path.Combine(AppContext.BaseDirectory, "NutrientLedger.Hub.dll");
        string[] arguments = [hub, "replay", farm, "--json", "--database", database.ConnectionString];
        using var command = Process.Start(new ProcessStartInfo("dotnet", arguments) { RedirectStandardOutput = true })!;
        var output = command.StandardOutput.ReadToEndAsync();
        var peak = 0.0;
        while (!output.IsCompleted)
        {
            try
            {
                peak = Math.Max(peak, ProcessUsage.MemoryMebibytes(command.Id).Peak);
            }
            catch (Exception e) when (e is IOException or InvalidOperationException)
            {
                // The command is ending.
            }
            await Task.WhenAny(output, Task.Delay(20));
        }
        await command.WaitForExitAsync();
        return command.ExitCode == 0 ? peak : throw new InvalidOperationException(await output);
    }

    private sealed record Round(double Copied, double Summed, double Posted, double Whole)
    {
        public void Print(int readings) =>
            Console.WriteLine(
                $"  posted {Posted:0.00} ({readings / Posted:0} readings/s), compared and cleared {Whole - Posted:0.00}; COPY to nowhere {Copied:0.000} (posting {Posted / Copied:0.0} times), plain SQL {Summed:0.000} ({Posted / Summed:0.0} times)"
            );
    }

    /// <summary>Records when the last batch was posted for the first time; the rest is comparing.</summary>
    private sealed class FirstPosted : IProgress<PostingProgress>
    {
        private readonly long begin = Stopwatch.GetTimestamp();

        public TimeSpan Posted { get; private set; }

        public TimeSpan SinceBegin => Stopwatch.GetElapsedTime(begin);

        public void Report(PostingProgress value)
        {
            if (value.Position == value.LastPosition && Posted == default)
                Posted = SinceBegin;
        }
    }
}
