using System.Collections.Concurrent;
using System.Diagnostics;
using MQTTnet;

namespace NutrientLedger.Benchmarks;

/// <summary>
/// Applicators that send as they measure. Measures how long each message takes to be acknowledged (committed) and to be
/// visible (the ledger line that holds the message's last interval has been read).
/// </summary>
internal sealed class LiveTraffic(BenchHub hub, int applicators, int messagesPerSecond, long boot)
{
    private const int Readings = 5;

    private readonly int stepMs = 1000 * applicators / (messagesPerSecond * Readings);
    private readonly ConcurrentQueue<Sent>[] outstanding =
    [
        .. Enumerable.Range(0, applicators).Select(_ => new ConcurrentQueue<Sent>()),
    ];
    private readonly ConcurrentBag<double> acknowledged = [];
    private readonly ConcurrentBag<double> visible = [];
    private readonly ConcurrentBag<double> looking = [];

    /// <summary>Sends until the task is done; the messages of the first seconds are not counted.</summary>
    public async Task RunAsync(int warmUpSeconds, Task until)
    {
        var clients = await Task.WhenAll(
            Enumerable.Range(0, applicators).Select(applicator => Devices.ConnectAsync(hub.MqttPort, applicator))
        );
        using var stop = new CancellationTokenSource();
        var looks = LookAsync(stop.Token);
        var sends = new List<Task>();
        var firstMs = DateTimeOffset.UtcNow.ToUnixTimeMilliseconds();
        var begin = Stopwatch.GetTimestamp();
        for (var i = 0; !until.IsCompleted; i++)
        {
            var due = TimeSpan.FromSeconds((double)i / messagesPerSecond) - Stopwatch.GetElapsedTime(begin);
            if (due > TimeSpan.Zero)
                await Task.Delay(due);
            var (applicator, turn) = (i % applicators, i / applicators);
            var at = firstMs + (turn * Readings * stepMs);
            var payload = BenchFarm.Message(applicator, boot, 1 + (turn * Readings), Readings, at, stepMs);
            var counts = i >= messagesPerSecond * warmUpSeconds;
            var sent = new Sent(at + ((Readings - 1) * stepMs), Stopwatch.GetTimestamp(), counts);
            outstanding[applicator].Enqueue(sent);
            sends.Add(SendAsync(clients[applicator], applicator, payload, sent));
        }
        await until;
        await Task.WhenAll(sends);
        var late = Stopwatch.StartNew();
        while (outstanding.Any(queue => !queue.IsEmpty) && late.Elapsed < TimeSpan.FromSeconds(60))
            await Task.Delay(10);
        await stop.CancelAsync();
        await looks;
        foreach (var client in clients)
            client.Dispose();
    }

    /// <summary>The time from publish to line read, in ms, that this share of the messages did not exceed.</summary>
    public double Visible(double share) => At([.. visible.Order()], share);

    /// <summary>The time from publish to acknowledged, in ms, that this share of the messages did not exceed.</summary>
    public double Acknowledged(double share) => At([.. acknowledged.Order()], share);

    public void Print()
    {
        Print("publish to acknowledged", acknowledged);
        Print("publish to line read   ", visible);
        Print("of that, the reading   ", looking);
        Console.WriteLine($"never read: {outstanding.Sum(queue => queue.Count)}");
    }

    private async Task SendAsync(IMqttClient client, int applicator, byte[] payload, Sent sent)
    {
        await Devices.SendAsync(client, applicator, payload);
        if (sent.Counts)
            acknowledged.Add(Stopwatch.GetElapsedTime(sent.At).TotalMilliseconds);
    }

    /// <summary>Reads the ledger after each posting and records which messages are in it.</summary>
    private async Task LookAsync(CancellationToken stop)
    {
        try
        {
            await foreach (var posted in hub.Feed.ListenAsync(stop))
            {
                if (posted.FarmId != BenchFarm.Id)
                    continue;
                var begun = Stopwatch.GetTimestamp();
                var view = await hub.Ledger.LinesAsync(BenchFarm.Id, season: null, asOf: null, stop);
                if (view.Position < posted.Position)
                    throw new InvalidOperationException("The feed reported a position that cannot be read yet.");
                looking.Add(Stopwatch.GetElapsedTime(begun).TotalMilliseconds);
                foreach (var lines in view.Lines.GroupBy(line => BenchFarm.ApplicatorOf(line.Key.ApplicatorId)))
                    if (lines.Key < applicators)
                        Note(outstanding[lines.Key], lines.Max(line => line.Value.LastMeasuredAtMilliseconds));
            }
        }
        catch (OperationCanceledException)
        {
            // The measurement is over.
        }
    }

    private void Note(ConcurrentQueue<Sent> queue, long lastMs)
    {
        while (queue.TryPeek(out var sent) && sent.LastMs <= lastMs && queue.TryDequeue(out _))
            if (sent.Counts)
                visible.Add(Stopwatch.GetElapsedTime(sent.At).TotalMilliseconds);
    }

    private static void Print(string what, IEnumerable<double> values)
    {
        double[] sorted = [.. values.Order()];
        if (sorted.Length > 0)
            Console.WriteLine(
                $"{what}: p50 {At(sorted, 0.5):0.0}  p90 {At(sorted, 0.9):0.0}  p99 {At(sorted, 0.99):0.0}  max {sorted[^1]:0.0}  ({sorted.Length})"
            );
    }

    private static double At(double[] sorted, double share) => sorted[(int)(share * (sorted.Length - 1))];

    private sealed record Sent(long LastMs, long At, bool Counts);
}
