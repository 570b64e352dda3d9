using System.Diagnostics;

namespace NutrientLedger.Benchmarks;

/// <summary>Compares versions of the hub: one of the comparisons, or all in one Markdown table.</summary>
internal static class Comparison
{
    private const string Ratio = "this : first";

    public static bool IsKnown(string name) => name is "live" or "growth" or "farms" or "wal" or "floors" or "table";

    /// <summary>Every other round goes the other way, so that no version always comes first.</summary>
    public static IEnumerable<T> InTurn<T>(IReadOnlyList<T> all, int round) => round % 2 == 0 ? all : all.Reverse();

    public static async Task RunAsync(string name, BenchOptions options)
    {
        var figures = new Figures([.. options.Versions.Select(version => version.Name)]);
        if (name is "live" or "table")
            await TimedAsync("live", () => LiveCostBenchmark.RunAsync(options, figures));
        if (name is "farms" or "table")
            await TimedAsync("farms", () => FarmsBenchmark.RunAsync(options, figures));
        if (name is "wal" or "table")
            await TimedAsync("wal", () => WalBenchmark.RunAsync(options, figures));
        if (name is "floors" or "table")
            await TimedAsync("floors", () => IngestionComparison.RunAsync(options, figures));
        if (name is "growth")
            await GrowthBenchmark.RunAsync(options);
        if (name is "table")
            await TimedAsync("growth", () => GrowthBenchmark.RunAsync(options, figures));

        // What was measured is shown even if a later part fails.
        async Task TimedAsync(string what, Func<Task> measure)
        {
            var watch = Stopwatch.StartNew();
            await measure();
            figures.Print(Ratio);
            Console.WriteLine($"{what}: {watch.Elapsed.TotalSeconds:0} s, with building what it needs");
        }
    }
}
