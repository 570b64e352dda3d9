using System.Diagnostics;

namespace NutrientLedger.Benchmarks;

/// <summary>
/// What live operation costs: 200 messages a second of one reading each, from 20 applicators. Each version of the hub
/// runs with its own PostgreSQL, and they are measured in turn, so only their ratios say something.
/// </summary>
internal static class LiveCostBenchmark
{
    private const int Applicators = 20;
    private const int MessagesPerSecond = 200;
    private const int Rounds = 3;

    private static readonly TimeSpan WarmUp = TimeSpan.FromSeconds(25);
    private static readonly TimeSpan Window = TimeSpan.FromSeconds(12);

    /// <param name="otherHubs">Paths of other versions' programs, to be measured beside this one.</param>
    public static async Task RunAsync(string[] otherHubs)
    {
        // PostgreSQL may run under another account, which must reach the folder.
        var folder = Path.Combine(Path.GetTempPath(), $"live-cost-{Guid.NewGuid():N}");
        Directory.CreateDirectory(folder);
        var hubs = new List<LiveHub>();
        try
        {
            foreach (var program in otherHubs.Append("NutrientLedger.Hub.dll"))
                hubs.Add(await LiveHub.StartAsync(program, Path.Combine(folder, $"{hubs.Count}")));
            foreach (var hub in hubs)
                await hub.SendAsync(WarmUp);
            Console.WriteLine($"{MessagesPerSecond} messages/s of one reading from {Applicators} applicators");
            for (var round = 1; round <= Rounds; round++)
                foreach (var hub in hubs)
                    Console.WriteLine($"round {round}: {await hub.SendAsync(Window)}");
        }
        finally
        {
            foreach (var hub in hubs)
                await hub.DisposeAsync();
            Directory.Delete(folder, recursive: true);
        }
    }

    private sealed class LiveHub(string program, ChildProcess process, int postmaster) : IAsyncDisposable
    {
        private long turn;

        public static async Task<LiveHub> StartAsync(string program, string folder)
        {
            Directory.CreateDirectory(folder);
            var farm = Path.Combine(folder, "farm.json");
            await File.WriteAllTextAsync(farm, BenchFarm.FarmFile("fields.geojson"));
            await File.WriteAllTextAsync(Path.Combine(folder, "fields.geojson"), BenchFarm.Fields());
            var path = Path.Combine(AppContext.BaseDirectory, program);
            using (
                var import = Process.Start(
                    new ProcessStartInfo("dotnet", [path, "import", "farm", farm, "--data", folder])
                    {
                        RedirectStandardOutput = true,
                    }
                )!
            )
            {
                var output = await import.StandardOutput.ReadToEndAsync();
                await import.WaitForExitAsync();
                if (import.ExitCode != 0)
                    throw new InvalidOperationException($"{program} could not import the farm: {output}");
            }
            var hub = await ChildProcess.StartAsync(
                program,
                ["run", "--data", folder, "--http-port", "0", "--mqtt-port", "0"]
            );
            var server = Directory.GetFiles(folder, "postmaster.pid", SearchOption.AllDirectories).Single();
            return new(program, hub, int.Parse(File.ReadLines(server).First()));
        }

        /// <summary>Sends for a time. Returns the processor time a second and the times to acknowledged.</summary>
        public async Task<string> SendAsync(TimeSpan duration)
        {
            var clients = await Task.WhenAll(
                Enumerable.Range(0, Applicators).Select(i => Devices.ConnectAsync(process.MqttPort, i))
            );
            var (hubBefore, serverBefore) = (Hub(), Server());
            var begin = Stopwatch.GetTimestamp();
            var firstMs = DateTimeOffset.UtcNow.ToUnixTimeMilliseconds();
            var first = turn;
            var sends = new List<Task<double>>();
            for (var i = 0; i % Applicators != 0 || Stopwatch.GetElapsedTime(begin) < duration; i++)
            {
                var due = TimeSpan.FromSeconds((double)i / MessagesPerSecond) - Stopwatch.GetElapsedTime(begin);
                if (due > TimeSpan.Zero)
                    await Task.Delay(due);
                var applicator = i % Applicators;
                turn = first + (i / Applicators);
                var step = 1000 * Applicators / MessagesPerSecond;
                var at = firstMs + ((turn - first) * step);
                sends.Add(
                    SendAsync(clients[applicator], applicator, BenchFarm.Message(applicator, 1, 1 + turn, 1, at, step))
                );
            }
            turn++;
            double[] times = [.. (await Task.WhenAll(sends)).Order()];
            var seconds = Stopwatch.GetElapsedTime(begin).TotalSeconds;
            var (hub, server) = ((Hub() - hubBefore) / seconds, (Server() - serverBefore) / seconds);
            foreach (var client in clients)
                client.Dispose();
            return FormattableString.Invariant(
                $"{hub + server:0.00} cores (hub {hub:0.00}, PostgreSQL {server:0.00}); acknowledged p50 {times[times.Length / 2]:0.0} ms, p99 {times[times.Length * 99 / 100]:0.0} ms; {program}"
            );
        }

        public ValueTask DisposeAsync() => process.DisposeAsync();

        private static async Task<double> SendAsync(MQTTnet.IMqttClient client, int applicator, byte[] payload)
        {
            var begin = Stopwatch.GetTimestamp();
            await Devices.SendAsync(client, applicator, payload);
            return Stopwatch.GetElapsedTime(begin).TotalMilliseconds;
        }

        private double Hub() => ProcessUsage.CpuSeconds(process.Id);

        private double Server() => ProcessUsage.ServerCpuSeconds(postmaster);
    }
}
