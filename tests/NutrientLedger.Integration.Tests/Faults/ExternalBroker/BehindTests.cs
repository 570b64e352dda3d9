using MQTTnet;
using Npgsql;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Faults.ExternalBroker;

/// <summary>A hub that receives messages and does not get them committed is not healthy.</summary>
public sealed class BehindTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    [BrokerFact]
    public async Task Health_says_how_many_received_messages_wait_and_how_long()
    {
        await using var store = await PersistenceTestHost.StartAsync(
            database.ConnectionString,
            keepsLedgersCurrent: false
        );
        await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
        await using var broker = await Mosquitto.StartAsync();
        await using var hub = ExternalHub.Start(database, broker);
        await hub.UntilIngestionReportsAsync("what waits in the broker is not known");
        using var device = new MqttClientFactory().CreateMqttClient();
        await device.ConnectAsync(new MqttClientOptionsBuilder().WithTcpServer("127.0.0.1", broker.Port).Build());
        await using var blocking = new NpgsqlConnection(database.ConnectionString);
        await blocking.OpenAsync();
        await using var transaction = await blocking.BeginTransactionAsync();
        await using var lockTable = new NpgsqlCommand("lock table ingestion.received", blocking, transaction);
        await lockTable.ExecuteNonQueryAsync();

        for (var seq = 1; seq <= 3; seq++)
            await device.PublishAsync($"agri/v1/{Some.Farm}/{Some.Gauge}/store", Messages.Level(seq));
        await hub.UntilIngestionReportsAsync("Behind: 3 messages are received and not committed, the oldest for ");

        await transaction.RollbackAsync();
        await hub.UntilIngestionReportsAsync("all farms: active since");
        await PersistenceTestHost.UntilAsync(async () =>
            (await store.Devices.DevicesAsync(Some.Farm, CancellationToken.None)).Sum(one => one.ReadingsStored) == 3
        );
    }
}
