using System.Diagnostics;

namespace NutrientLedger.Benchmarks;

/// <summary>
/// How long messages of five readings take: at a steady 200 a second from eight applicators; and from ten live
/// applicators, quiet and while another one sends its backlog, 20,000 messages at a time.
/// </summary>
internal static class LatencyBenchmark
{
    private const int Seconds = 20;
    private const int WarmUpSeconds = 3;
    private const int BurstMessages = 20_000;
    private const int Bursts = 3;
    private const int BurstWindow = 256;
    private const int LiveApplicators = 10;

    // Separate boots, beyond those of kept messages.
    private const long SteadyBoot = 1_000_000;
    private const long BurstBoot = 2_000_000;

    public static async Task RunAsync(BenchHub hub)
    {
        var steady = new LiveTraffic(hub, applicators: 8, messagesPerSecond: 200, SteadyBoot);
        await steady.RunAsync(WarmUpSeconds, Task.Delay(TimeSpan.FromSeconds(WarmUpSeconds + Seconds)));
        Console.WriteLine($"Latency at 200 messages/s of 5 readings for {Seconds} s, ms");
        steady.Print();

        await hub.SettleAsync();
        var quiet = new LiveTraffic(hub, LiveApplicators, messagesPerSecond: 20, SteadyBoot + 1);
        await quiet.RunAsync(warmUpSeconds: 1, Task.Delay(TimeSpan.FromSeconds(10)));
        Console.WriteLine($"{LiveApplicators} live applicators, 2 messages/s each, ms");
        quiet.Print();

        for (var burst = 0; burst < Bursts; burst++)
        {
            await hub.SettleAsync();
            var live = new LiveTraffic(hub, LiveApplicators, messagesPerSecond: 20, SteadyBoot + 2 + burst);
            var sending = BurstAsync(hub, BurstBoot + burst);
            await live.RunAsync(warmUpSeconds: 0, sending);
            Console.WriteLine(
                $"The same while another applicator sends {BurstMessages} messages of 5 readings, which takes {(await sending).TotalSeconds:0.0} s"
            );
            live.Print();
        }
    }

    private static async Task<TimeSpan> BurstAsync(BenchHub hub, long boot)
    {
        byte[][] kept =
        [
            .. Enumerable.Range(0, BurstMessages).Select(i => BenchFarm.Kept(LiveApplicators, boot, i * 5L, 5, 1000)),
        ];
        using var client = await Devices.ConnectAsync(hub.MqttPort, LiveApplicators);
        var watch = Stopwatch.StartNew();
        await Devices.SendAsync(client, LiveApplicators, kept, BurstWindow);
        return watch.Elapsed;
    }
}
