using System.Diagnostics;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using Xunit.Abstractions;

namespace NutrientLedger.Integration.Tests.Faults.ExternalBroker;

/// <summary>
/// A hub that is frozen keeps its connections, and with them all its locks. Goal: its standby takes over all the same,
/// and the frozen one writes nothing when it wakes. Method: it is stopped (SIGSTOP) under load, at the worst place:
/// inside an append, where it holds the lock of its farm's journal too.
/// </summary>
public sealed class FrozenHubTests(TestDatabase database, ITestOutputHelper output) : IClassFixture<TestDatabase>
{
    private static readonly TimeSpan TakeoverMax = TimeSpan.FromSeconds(60);

    [BrokerFact]
    public async Task A_standby_takes_over_from_a_frozen_hub_which_writes_nothing_when_it_wakes()
    {
        await using var store = await PersistenceTestHost.StartAsync(
            database.ConnectionString,
            keepsLedgersCurrent: false
        );
        await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
        await using var broker = await Mosquitto.StartAsync();
        using var device = new LoggingDevice(broker.Port);
        using var limit = new CancellationTokenSource(2 * PersistenceTestHost.Patience);
        device.Start(limit.Token);
        // The first hub to start also posts the ledgers.
        await using var active = ExternalHub.Start(database, broker, "--farms", Some.Farm);
        await device.ProgressAsync(500, limit.Token);
        await using var standby = ExternalHub.Start(database, broker, "--farms", Some.Farm);
        await standby.UntilIngestionReportsAsync("standby since");
        await using (var inside = await Phase.HoldAsync(database.ConnectionString, "lock table ingestion.received"))
        {
            Assert.True(await inside.SomebodyWaitsForAsync("ingestion.received"));
            await active.Process.SignalAsync("STOP");
        }
        var frozenAt = Stopwatch.GetTimestamp();

        await standby.UntilIngestionReportsAsync("active since").WaitAsync(TakeoverMax);
        output.WriteLine($"The standby took over after {Stopwatch.GetElapsedTime(frozenAt).TotalSeconds:0.0} s.");
        await device.ProgressAsync(500, limit.Token);
        output.WriteLine($"Stored goes on after {Stopwatch.GetElapsedTime(frozenAt).TotalSeconds:0.0} s.");
        await store.PostedAsync();
        await active.Process.SignalAsync("CONT");
        Assert.Equal(3, await active.Process.EndAsync());
        await device.ProgressAsync(500, limit.Token);
        await device.FinishAsync();

        await store.PostedAsync();
        var counted = Assert.Single(await store.Devices.DevicesAsync(Some.Farm, CancellationToken.None));
        Assert.Equal(device.Sent, counted.ReadingsStored);
        Assert.Equal(
            $"{{[1,{device.Sent + 1})}}",
            await database.ReadAsync<string>("select ranges::text from ingestion.received")
        );
        Assert.Empty((await store.AuditAsync()).Findings);
        await PersistenceTestHost.UntilAsync(() =>
            Task.FromResult(
                active.Process.Output.Contains("It writes nothing more and ends", StringComparison.Ordinal)
                    && standby.Process.Output.Contains("gave no sign of life", StringComparison.Ordinal)
            )
        );
    }
}
