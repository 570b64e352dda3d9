using System.Diagnostics;

namespace NutrientLedger.Benchmarks;

/// <summary>The hub's memory at full rate, minute by minute: it must not grow much beyond the first minute.</summary>
internal static class EnduranceBenchmark
{
    private const int Applicators = 8;
    private const int Readings = 5;
    private const int Window = 128;

    public static async Task RunAsync(BenchHub hub, int minutes)
    {
        Console.WriteLine(
            $"Full rate for {minutes} min: {Applicators} applicators, messages of {Readings}. Memory of the hub in MiB."
        );
        Console.WriteLine("minute   messages/s   working set   peak    events to post");
        var run = Stopwatch.StartNew();
        var end = TimeSpan.FromMinutes(minutes);
        var sent = 0L;
        var sending = Enumerable.Range(0, Applicators).Select(SendAsync).ToArray();
        var (firstPeak, peak) = (0.0, 0.0);
        for (var (minute, before) = (1, 0L); minute <= minutes; minute++)
        {
            var rest = TimeSpan.FromMinutes(minute) - run.Elapsed;
            await Task.WhenAny(Task.Delay(rest), Task.WhenAll(sending));
            (var now, peak) = ProcessUsage.MemoryMebibytes(hub.ProcessId);
            if (minute == 1)
                firstPeak = peak;
            var soFar = Interlocked.Read(ref sent);
            Console.WriteLine(
                $"{minute, 6} {(soFar - before) / 60.0, 12:0} {now, 13:0} {peak, 6:0} {await hub.EventsToPostAsync(), 17}"
            );
            before = soFar;
        }
        await Task.WhenAll(sending);
        var settle = Stopwatch.StartNew();
        await hub.SettleAsync();
        (_, peak) = ProcessUsage.MemoryMebibytes(hub.ProcessId);
        Console.WriteLine(
            $"Peak at the end / at minute 1: {peak / firstPeak:0.00}. All posted {settle.Elapsed.TotalSeconds:0.0} s after the last message."
        );

        async Task SendAsync(int applicator)
        {
            using var client = await Devices.ConnectAsync(hub.MqttPort, applicator);
            await Devices.SendAsync(client, applicator, Messages(applicator), Window);
        }

        IEnumerable<byte[]> Messages(int applicator)
        {
            for (var i = 0L; run.Elapsed < end; i++)
            {
                Interlocked.Increment(ref sent);
                yield return BenchFarm.Kept(applicator, boot: 1, i * Readings, Readings, stepMs: 1000);
            }
        }
    }
}
