using NutrientLedger.Hub.Startup;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Integration.Tests.Ingestion;
using NutrientLedger.Persistence.Postgres;
using Xunit.Abstractions;

namespace NutrientLedger.Integration.Tests.Faults;

/// <summary>
/// Goal: a private PostgreSQL that dies is started again by the running hub, and nothing acknowledged is lost. A server
/// that keeps dying ends the hub with a clear last word.
/// </summary>
public sealed class ServerDeathTests(ITestOutputHelper output) : IDisposable
{
    private const string Back = "The private PostgreSQL is back";

    private readonly string folder = Directory.CreateTempSubdirectory("nutrient-ledger-death-").FullName;

    private string ServerFolder => Path.Combine(folder, HubDatabase.Own);

    private string Data => Path.Combine(ServerFolder, "data");

    public void Dispose()
    {
        foreach (var left in ServerProcesses.In(folder))
            left.Kill();
        Directory.Delete(folder, recursive: true);
    }

    [DatabaseFact]
    public async Task A_killed_server_is_started_again_under_load_and_nothing_is_lost()
    {
        TestServer.LetOthersPass(folder);
        await using (var first = await PrivatePostgres.StartAsync(ServerFolder, CancellationToken.None))
            await FaultyFarm.ImportAsync(first.ConnectionString);
        await using var hub = Start();
        var (_, mqttPort) = await hub.ListeningAsync();
        var device = new FaultyDevice(mqttPort, FaultyFarm.Topic, seed: 20_261_201);
        var stop = new TaskCompletionSource();
        var sending = device.SendAsync(stop.Task);

        await AcknowledgedAsync(device, sending);
        ServerProcesses.KillFirst(Data);
        await IsBackAsync(hub, times: 1);
        await AcknowledgedAsync(device, sending);
        await ServerProcesses.KillAsync(folder);
        await IsBackAsync(hub, times: 2);
        await AcknowledgedAsync(device, sending);
        stop.SetResult();
        await sending;

        Assert.False(hub.HasEnded, hub.Output);
        Assert.Equal(2, Times(hub, "The private PostgreSQL is gone"));
        await using var server = await PrivatePostgres.StartAsync(ServerFolder, CancellationToken.None);
        Assert.True(server.Joined);
        await FaultyFarm.AssertWholeAsync(server.ConnectionString, device, output);
    }

    [DatabaseFact]
    public async Task A_server_that_keeps_dying_ends_the_hub_which_says_what_to_do()
    {
        TestServer.LetOthersPass(folder);
        await using var hub = Start();
        await hub.ListeningAsync();
        for (var start = 1; start <= ServerSupervisor.StartsMax; start++)
        {
            await ServerProcesses.KillAsync(folder);
            await IsBackAsync(hub, times: start);
        }
        await ServerProcesses.KillAsync(folder);

        Assert.Equal(1, await hub.EndAsync());
        Assert.Contains("started 5 times within 10 minutes", hub.Output, StringComparison.Ordinal);
        Assert.Contains($"Read PostgreSQL's log in {Data}/log", hub.Output, StringComparison.Ordinal);
        Assert.Empty(ServerProcesses.In(folder));
    }

    private HubProcess Start() => HubProcess.Start("run", "--data", folder, "--http-port", "0", "--mqtt-port", "0");

    private static Task IsBackAsync(HubProcess hub, int times) =>
        IngestionTestHost.Until(() => hub.HasEnded || Times(hub, Back) == times);

    /// <summary>Waits until the device has got further acknowledgements.</summary>
    private static async Task AcknowledgedAsync(FaultyDevice device, Task sending)
    {
        var before = device.ReadingsAcknowledged;
        await IngestionTestHost.Until(() => sending.IsCompleted || device.ReadingsAcknowledged > before + 200);
    }

    private static int Times(HubProcess hub, string text) => hub.Output.Split(text).Length - 1;
}
