using System.Diagnostics;
using NutrientLedger.Journal;

namespace NutrientLedger.Benchmarks;

/// <summary>
/// How long another farm's messages take until they are read, while a big farm's ledger is rebuilt. Each round has four
/// parts: quiet, busy loops, corrections of a tenth of the fields one after another, and rebuilds of the whole ledger.
/// The loops use as many threads, at the same low priority, as rebuilds do. They show what any background work costs on
/// this machine.
/// </summary>
internal sealed class BackgroundBenchmark(BenchHub hub, string farm)
{
    private const int Rounds = 3;
    private const int WarmUpSeconds = 2;
    private const int Seconds = 12;
    private const int MessagesPerSecond = 50;
    private const int Applicators = 10;

    private long boot = 3_000_000;
    private int redrawn = 100;

    public async Task RunAsync()
    {
        var whole = await RebuiltAsync();
        await StatementsAsync();
        Console.WriteLine($"The whole ledger rebuilt by a correction, until read: {whole:0.00} s");
        var (loops, redraws, rebuilds) = (new List<double>(), new List<double>(), new List<double>());
        for (var round = 1; round <= Rounds; round++)
        {
            var quiet = Traffic();
            await quiet.RunAsync(WarmUpSeconds, Task.Delay(TimeSpan.FromSeconds(WarmUpSeconds + Seconds)));
            Console.WriteLine($"Round {round}: quiet                  {Text(quiet)}");
            loops.Add(await WithLoopsAsync(quiet));
            redraws.Add(await WithAsync("tenths redrawn", quiet, () => RedrawAsync(hub, farm, ++redrawn)));
            rebuilds.Add(await WithAsync("whole ledgers", quiet, RebuiltAsync));
        }
        loops.Sort();
        redraws.Sort();
        rebuilds.Sort();
        Console.WriteLine(
            $"p99 with background work to p99 quiet, median of {Rounds} rounds: loops that do nothing {loops[Rounds / 2]:0.00} times, tenths redrawn {redraws[Rounds / 2]:0.00} times, whole ledgers {rebuilds[Rounds / 2]:0.00} times"
        );
    }

    /// <summary>Gives a tenth of the fields new boundaries. Returns the seconds until that is read.</summary>
    public static Task<double> RedrawAsync(BenchHub hub, string farm, int parts) =>
        CorrectedAsync(
            hub,
            farm,
            [.. Enumerable.Range(0, ReplaySeason.Fields / 10).Select(i => BenchFarm.Redrawn(i, parts))]
        );

    /// <summary>A farm registered again may change anything, so everything is posted.</summary>
    private Task<double> RebuiltAsync() => CorrectedAsync(hub, farm, [BenchFarm.ConfigurationEvents(0)[0]]);

    private async Task<double> WithLoopsAsync(LiveTraffic quiet)
    {
        var count = Environment.ProcessorCount / 2;
        using var over = new CancellationTokenSource(TimeSpan.FromSeconds(WarmUpSeconds + Seconds));
        var loops = Enumerable
            .Range(0, count)
            .Select(_ => Task.Factory.StartNew(Loop, TaskCreationOptions.LongRunning));
        var busy = Traffic();
        await busy.RunAsync(WarmUpSeconds, Task.WhenAll(loops));
        var times = busy.Visible(0.99) / quiet.Visible(0.99);
        Console.WriteLine($"  with {count, 2} idle loops     {Text(busy)} ({times:0.00} times)");
        return times;

        void Loop()
        {
            var sum = 0L;
            while (!over.IsCancellationRequested)
                for (var i = 0; i < 100_000; i++)
                    sum = (31 * sum) + i;
            GC.KeepAlive(sum);
        }
    }

    private async Task<double> WithAsync(string what, LiveTraffic quiet, Func<Task<double>> post)
    {
        var (took, busy) = (new List<double>(), Traffic());
        await busy.RunAsync(WarmUpSeconds, AgainAsync());
        took.Sort();
        var times = busy.Visible(0.99) / quiet.Visible(0.99);
        Console.WriteLine(
            $"  with {took.Count, 2} {what, -14} {Text(busy)} ({times:0.00} times); each took {took[took.Count / 2]:0.00} s, at most {took[^1]:0.00} s"
        );
        await StatementsAsync();
        return times;

        async Task AgainAsync()
        {
            var watch = Stopwatch.StartNew();
            while (watch.Elapsed < TimeSpan.FromSeconds(WarmUpSeconds + Seconds))
                took.Add(await post());
        }
    }

    private LiveTraffic Traffic() => new(hub, Applicators, MessagesPerSecond, boot++);

    /// <summary>
    /// Waits until corrections have their statements and all is posted, so that the next measurement starts quiet.
    /// </summary>
    private async Task StatementsAsync()
    {
        var last = (await hub.Configurations.ReadAsync(farm, asOf: null, CancellationToken.None)).Events[^1].Position;
        while (await hub.Statements.FindAsync(farm, last, CancellationToken.None) is null)
            await Task.Delay(50);
        await hub.SettleAsync();
    }

    private static async Task<double> CorrectedAsync(BenchHub hub, string farm, IReadOnlyList<IJournalEvent> events)
    {
        var configuration = await hub.Configurations.ReadAsync(farm, asOf: null, CancellationToken.None);
        var watch = Stopwatch.StartNew();
        await hub.Configurations.RecordAsync(farm, configuration.Version, events, CancellationToken.None);
        var position = (await hub.Configurations.ReadAsync(farm, asOf: null, CancellationToken.None))
            .Events[^1]
            .Position;
        while (
            await hub.Ledger.LinesAsync(farm, season: 0, asOf: null, CancellationToken.None) is var read
            && (read.Position < position || read.IsBeingCorrected)
        )
            await Task.Delay(20);
        return watch.Elapsed.TotalSeconds;
    }

    private static string Text(LiveTraffic traffic) =>
        $"acknowledged p50 {traffic.Acknowledged(0.5):0} p99 {traffic.Acknowledged(0.99):0} ms, read p50 {traffic.Visible(0.5):0} p90 {traffic.Visible(0.9):0} p99 {traffic.Visible(0.99):0} max {traffic.Visible(1):0} ms";
}
