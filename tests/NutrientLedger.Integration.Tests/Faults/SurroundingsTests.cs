using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Integration.Tests.Ingestion;
using NutrientLedger.Persistence.Postgres;
using Xunit.Abstractions;

namespace NutrientLedger.Integration.Tests.Faults;

/// <summary>
/// Goal: faults around the hub leave no acknowledged reading missing and none doubled, without a restart of the hub.
/// Method: the hub is a process with its own PostgreSQL server. A device sends out of order, a tenth twice and a tenth
/// corrupt in twelve ways. Meanwhile the server is stopped at once for ten seconds, and the hub itself is suspended for
/// ten seconds.
/// </summary>
public sealed class SurroundingsTests(ITestOutputHelper output)
{
    private static readonly TimeSpan Outage = TimeSpan.FromSeconds(10);
    private static readonly TimeSpan Between = TimeSpan.FromSeconds(3);

    [DatabaseFact]
    public async Task A_database_outage_and_a_suspended_hub_under_bad_traffic_lose_and_double_nothing()
    {
        var folder = Directory.CreateTempSubdirectory("nutrient-ledger-faults-").FullName;
        TestServer.LetOthersPass(folder);
        var server = await PrivatePostgres.StartAsync(folder, CancellationToken.None);
        try
        {
            await FaultyFarm.ImportAsync(server.ConnectionString);
            await using var hub = HubProcess.Start([
                "run",
                "--database",
                server.ConnectionString,
                "--http-port",
                "0",
                "--mqtt-port",
                "0",
            ]);
            var (_, mqttPort) = await hub.ListeningAsync();
            var device = new FaultyDevice(mqttPort, FaultyFarm.Topic, seed: 20_261_125);
            var stop = new TaskCompletionSource();
            var sending = device.SendAsync(stop.Task);

            await Task.WhenAny(sending, Task.Delay(Between));
            // PostgreSQL's immediate stop, after which it must recover from its log.
            ServerProcesses.SignalFirst(Path.Combine(folder, "data"), "QUIT");
            await Task.WhenAny(sending, Task.Delay(Outage));
            server = await PrivatePostgres.StartAsync(folder, CancellationToken.None);
            await Task.WhenAny(sending, Task.Delay(Between));
            await hub.SignalAsync("STOP");
            await Task.WhenAny(sending, Task.Delay(Outage));
            await hub.SignalAsync("CONT");
            await Task.WhenAny(sending, Task.Delay(Between));
            await IngestionTestHost.Until(() => sending.IsCompleted || device.IsEveryKindRejected);
            stop.SetResult();
            await sending;

            Assert.False(hub.HasEnded, hub.Output);
            Assert.All(device.CorruptRejected, count => Assert.InRange(count, 1, int.MaxValue));
            await FaultyFarm.AssertWholeAsync(server.ConnectionString, device, output);
        }
        finally
        {
            await server.DisposeAsync();
            Directory.Delete(folder, recursive: true);
        }
    }
}
