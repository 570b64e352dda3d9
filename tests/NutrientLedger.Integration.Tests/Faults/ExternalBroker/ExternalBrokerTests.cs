using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Faults.ExternalBroker;

/// <summary>
/// Goal: with a broker outside the hub no reading is missing and none counts twice, whatever dies or stalls. Method:
/// real processes, Debian's mosquitto with the settings that users get, and a gauge that trusts only the
/// acknowledgement watermark.
/// </summary>
public sealed class ExternalBrokerTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(6);
    private static readonly TimeSpan Standstill = TimeSpan.FromSeconds(10);

    [BrokerFact]
    public Task A_broker_killed_under_load_and_started_again_loses_nothing() =>
        TryAsync(
            async (broker, device, limit) =>
            {
                await using var hub = Hub(broker);
                for (var kill = 0; kill < 2; kill++)
                {
                    await device.ProgressAsync(1_000, limit);
                    await broker.KillAsync();
                    await broker.RunAsync();
                }
                await device.ProgressAsync(1_000, limit);
                await device.FinishAsync();
            }
        );

    [BrokerFact]
    public Task A_hub_killed_five_times_under_load_loses_nothing() =>
        TryAsync(
            async (broker, device, limit) =>
            {
                for (var kill = 0; kill < 5; kill++)
                {
                    await using var hub = Hub(broker);
                    await device.ProgressAsync(500, limit);
                    await hub.KillAsync();
                }
                await using var last = Hub(broker);
                await device.FinishAsync();
            }
        );

    [BrokerFact]
    public Task Suspended_hub_and_broker_recover_by_themselves() =>
        TryAsync(
            async (broker, device, limit) =>
            {
                await using var hub = Hub(broker);
                await device.ProgressAsync(500, limit);
                await Mosquitto.SignalAsync(hub.Id, "STOP");
                await Task.Delay(Standstill, limit);
                await Mosquitto.SignalAsync(hub.Id, "CONT");
                await device.ProgressAsync(500, limit);
                await broker.SignalAsync("STOP");
                await Task.Delay(Standstill, limit);
                await broker.SignalAsync("CONT");
                await device.ProgressAsync(500, limit);
                await device.FinishAsync();
            }
        );

    [BrokerFact]
    public Task A_standby_takes_over_from_a_killed_hub_and_says_which_is_active() =>
        TryAsync(
            async (broker, device, limit) =>
            {
                await using var first = Hub(broker, "--farms", Some.Farm);
                await device.ProgressAsync(500, limit);
                await using var second = ExternalHub.Start(database, broker, "--farms", Some.Farm);
                await second.UntilIngestionReportsAsync("standby since");
                await first.KillAsync();
                await device.ProgressAsync(500, limit);
                await second.UntilIngestionReportsAsync("active since");
                await device.FinishAsync();
            }
        );

    private async Task TryAsync(Func<Mosquitto, LoggingDevice, CancellationToken, Task> faults)
    {
        await database.EmptyAsync();
        await using var store = await PersistenceTestHost.StartAsync(
            database.ConnectionString,
            keepsLedgersCurrent: false
        );
        await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
        await using var broker = await Mosquitto.StartAsync();
        using var device = new LoggingDevice(broker.Port);
        using var limit = new CancellationTokenSource(Patience);
        device.Start(limit.Token);
        await faults(broker, device, limit.Token);

        await using var hub = Hub(broker);
        await store.PostedAsync();
        var counted = Assert.Single(await store.Devices.DevicesAsync(Some.Farm, CancellationToken.None));
        Assert.Equal(device.Sent, counted.ReadingsStored);
        Assert.Equal(
            $"{{[1,{device.Sent + 1})}}",
            await database.ReadAsync<string>("select ranges::text from ingestion.received")
        );
        Assert.Empty((await store.AuditAsync()).Findings);
    }

    private HubProcess Hub(Mosquitto broker, params string[] options) =>
        ExternalHub.Start(database, broker, options).Process;
}
