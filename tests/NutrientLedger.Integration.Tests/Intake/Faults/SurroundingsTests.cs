using System.Diagnostics;
using Microsoft.Extensions.DependencyInjection;
using NutrientLedger.Integration.Tests.Demo;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Office;
using NutrientLedger.Office.Import;
using NutrientLedger.Store;
using Xunit.Abstractions;

namespace NutrientLedger.Integration.Tests.Intake.Faults;

/// <summary>
/// Goal: faults around the hub leave no acknowledged reading missing and none doubled, and nobody starts the hub again. Method: the
/// hub is a process with a PostgreSQL server of its own; a machine sends out of order, a tenth twice and a tenth spoilt in twelve
/// ways, while the server is stopped at once and stays away ten seconds, and the hub itself stands still for ten seconds.
/// </summary>
public sealed class SurroundingsTests(ITestOutputHelper output)
{
    private const string Farm = "faulty";
    private static readonly TimeSpan Outage = TimeSpan.FromSeconds(10);
    private static readonly TimeSpan Between = TimeSpan.FromSeconds(3);

    [DatabaseFact]
    public async Task An_outage_of_the_database_and_a_hub_that_stands_still_under_bad_traffic_lose_and_double_nothing()
    {
        var folder = Directory.CreateTempSubdirectory("nutrient-ledger-faults-").FullName;
        TestServer.LetOthersPass(folder);
        var server = await PrivatePostgres.StartAsync(folder, CancellationToken.None);
        try
        {
            await ImportAsync(server.ConnectionString);
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
            var sender = new FaultySender(mqttPort, $"agri/v1/{Farm}/drag-line/spread", seed: 20_261_125);
            var stop = new TaskCompletionSource();
            var sending = sender.SendAsync(stop.Task);

            await Task.WhenAny(sending, Task.Delay(Between));
            StopAtOnce(folder);
            await Task.WhenAny(sending, Task.Delay(Outage));
            server = await PrivatePostgres.StartAsync(folder, CancellationToken.None);
            await Task.WhenAny(sending, Task.Delay(Between));
            await hub.SignalAsync("STOP");
            await Task.WhenAny(sending, Task.Delay(Outage));
            await hub.SignalAsync("CONT");
            await Task.WhenAny(sending, Task.Delay(Between));
            stop.SetResult();
            await sending;

            Assert.False(hub.HasEnded, hub.Output);
            await AssertWholeAsync(server.ConnectionString, sender);
        }
        finally
        {
            await server.DisposeAsync();
            Directory.Delete(folder, recursive: true);
        }
    }

    private async Task AssertWholeAsync(string connectionString, FaultySender sender)
    {
        await using var services = PostedLedger.Services(connectionString);
        var devices = services.GetRequiredService<DeviceReader>();
        await IntakeHost.Until(async () =>
            await devices.PositionsAsync(CancellationToken.None) is var (journal, posted) && posted >= journal
        );
        var device = Assert.Single(await devices.DevicesAsync(Farm, CancellationToken.None));
        output.WriteLine(
            $"{sender.ReadingsAcknowledged} readings acknowledged, {device.ReadingsStored} stored, {device.ReadingsDuplicate} known already, "
                + $"{sender.SpoiltRefused.Sum()} messages refused of {sender.SpoiltRefused.Count(count => count > 0)} kinds"
        );
        Assert.Equal(sender.ReadingsAcknowledged, device.ReadingsStored);
        Assert.Empty(device.Gaps);
        Assert.InRange(device.ReadingsDuplicate, sender.SentTwice * CorruptMessages.ReadingsEach, long.MaxValue);
        Assert.All(sender.SpoiltRefused, count => Assert.InRange(count, 1, int.MaxValue));

        var list = services.GetRequiredService<RefusedList>();
        var refused = await list.ListAsync(new(Farm, null, null, 1000), CancellationToken.None);
        Assert.InRange(refused.Sum(one => one.Times), sender.SpoiltRefused.Sum(), long.MaxValue);
        Assert.Empty(await list.NotKeptAsync(Farm, CancellationToken.None));
        var audit = await services.GetRequiredService<LedgerAudit>().RunAsync(Farm, CancellationToken.None);
        Assert.Empty(audit.Findings);
        var lines = await services
            .GetRequiredService<LedgerReader>()
            .LinesAsync(Farm, null, null, CancellationToken.None);
        // The meter counts 10 L a second from the first reading to the last one.
        Assert.Equal(
            (sender.ReadingsAcknowledged - 1) * 10_000,
            (long)lines.Lines.Values.Aggregate((Int128)0, (sum, line) => sum + line.VolumeMillilitres)
        );
    }

    private static async Task ImportAsync(string connectionString)
    {
        await using var services = PostedLedger.Services(connectionString);
        await services.GetRequiredService<StoreMigration>().RunAsync(CancellationToken.None);
        using var farm = new SmallFarm(Farm);
        var outcome = await new FarmImport(services.GetRequiredService<RegisterStore>()).ImportAsync(
            farm.Path,
            default
        );
        Assert.Empty(outcome.Problems);
    }

    /// <summary>SIGQUIT to the first process: PostgreSQL's immediate stop, after which it must recover from its log.</summary>
    private static void StopAtOnce(string folder)
    {
        var first = File.ReadLines(Path.Combine(folder, "data", "postmaster.pid")).First();
        using var quit = Process.Start("kill", ["-QUIT", first]);
        quit.WaitForExit();
    }
}
