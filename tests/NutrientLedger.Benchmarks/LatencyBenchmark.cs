using System.Collections.Concurrent;
using System.Diagnostics;

namespace NutrientLedger.Benchmarks;

/// <summary>
/// Time from publish to acknowledged (committed) and to visible (the ledger line that holds the message's last interval has
/// been read) at a steady 200 messages a second of five readings from eight machines.
/// </summary>
internal static class LatencyBenchmark
{
    private const int MessagesPerSecond = 200;
    private const int Seconds = 20;
    private const int WarmUpSeconds = 3;
    private const int Readings = 5;
    private const int StepMs = 8;
    private const long Boot = 1_000_000;

    public static async Task RunAsync(BenchHub hub)
    {
        await hub.SettleAsync();
        var clients = await Task.WhenAll(Enumerable.Range(0, BenchFarm.Machines).Select(hub.MachineAsync));
        var acknowledged = new ConcurrentBag<double>();
        var visible = new ConcurrentBag<double>();
        var outstanding = Enumerable.Range(0, BenchFarm.Machines).Select(_ => new ConcurrentQueue<Sent>()).ToArray();
        using var stop = new CancellationTokenSource();
        var reading = new ConcurrentBag<double>();
        var looks = LookAsync(hub, outstanding, visible, reading, stop.Token);

        var total = MessagesPerSecond * (WarmUpSeconds + Seconds);
        var sends = new List<Task>(total);
        var firstMs = DateTimeOffset.UtcNow.ToUnixTimeMilliseconds();
        var begin = Stopwatch.GetTimestamp();
        for (var i = 0; i < total; i++)
        {
            var due = TimeSpan.FromSeconds((double)i / MessagesPerSecond) - Stopwatch.GetElapsedTime(begin);
            if (due > TimeSpan.Zero)
                await Task.Delay(due);
            var (machine, turn) = (i % BenchFarm.Machines, i / BenchFarm.Machines);
            var at = firstMs + (turn * Readings * StepMs);
            var payload = BenchFarm.Message(machine, Boot, 1 + (turn * Readings), Readings, at, StepMs);
            var counts = i >= MessagesPerSecond * WarmUpSeconds;
            var sent = new Sent(at + ((Readings - 1) * StepMs), Stopwatch.GetTimestamp(), counts);
            outstanding[machine].Enqueue(sent);
            sends.Add(SendAsync(machine, payload, sent));
        }
        await Task.WhenAll(sends);
        var late = Stopwatch.StartNew();
        while (outstanding.Any(queue => !queue.IsEmpty) && late.Elapsed < TimeSpan.FromSeconds(20))
            await Task.Delay(10);
        await stop.CancelAsync();
        await looks;

        Console.WriteLine($"Latency at {MessagesPerSecond} messages/s of {Readings} readings for {Seconds} s, ms");
        Print("publish to acknowledged", acknowledged);
        Print("publish to line read   ", visible);
        Print("of that, the reading   ", reading);
        Console.WriteLine($"never seen: {outstanding.Sum(queue => queue.Count)}");
        foreach (var client in clients)
            client.Dispose();

        async Task SendAsync(int machine, byte[] payload, Sent sent)
        {
            await BenchHub.SendAsync(clients[machine], machine, payload);
            if (sent.Counts)
                acknowledged.Add(Stopwatch.GetElapsedTime(sent.At).TotalMilliseconds);
        }
    }

    /// <summary>Reads the ledger whenever it is said to have moved on, and notes which messages are in it.</summary>
    private static async Task LookAsync(
        BenchHub hub,
        ConcurrentQueue<Sent>[] outstanding,
        ConcurrentBag<double> visible,
        ConcurrentBag<double> reading,
        CancellationToken stop
    )
    {
        try
        {
            await foreach (var posted in hub.Feed.ListenAsync(stop))
            {
                var begun = Stopwatch.GetTimestamp();
                var view = await hub.Ledger.LinesAsync(BenchFarm.Id, season: null, asOf: null, stop);
                if (view.Position < posted.Position)
                    throw new InvalidOperationException("The feed told of a position that cannot be read yet.");
                reading.Add(Stopwatch.GetElapsedTime(begun).TotalMilliseconds);
                foreach (var machine in view.Lines.GroupBy(line => line.Key.ApplicatorId))
                {
                    var queue = outstanding[machine.Key[^1] - '0'];
                    var last = machine.Max(line => line.Value.LastMeasuredAtMilliseconds);
                    while (queue.TryPeek(out var sent) && sent.LastMs <= last && queue.TryDequeue(out _))
                        if (sent.Counts)
                            visible.Add(Stopwatch.GetElapsedTime(sent.At).TotalMilliseconds);
                }
            }
        }
        catch (OperationCanceledException)
        {
            // The measurement is over.
        }
    }

    private static void Print(string what, IEnumerable<double> values)
    {
        double[] sorted = [.. values.Order()];
        if (sorted.Length > 0)
            Console.WriteLine(
                $"{what}: p50 {At(0.5):0.0}  p90 {At(0.9):0.0}  p99 {At(0.99):0.0}  most {sorted[^1]:0.0}  ({sorted.Length})"
            );

        double At(double share) => sorted[(int)(share * (sorted.Length - 1))];
    }

    private sealed record Sent(long LastMs, long At, bool Counts);
}
