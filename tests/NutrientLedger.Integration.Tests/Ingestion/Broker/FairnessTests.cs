using MQTTnet.Formatter;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Integration.Tests.Ingestion.Broker;

/// <summary>
/// Goal: a device that comes back into coverage with a backlog delays nobody. Method: counts and order only. While the
/// journal is blocked, 20,000 messages arrive on one connection without a receive maximum. Then ten live devices send.
/// </summary>
public sealed class FairnessTests
{
    private const int Burst = 20_000;
    private const int Window = 256;

    [Fact]
    public async Task A_burst_of_20000_messages_does_not_delay_ten_live_devices()
    {
        await using var host = await IngestionTestHost.StartAsync();
        host.Journal.Hold();
        await using var connection = await host.BareConnectionAsync();
        await connection.WriteAsync(BareMqtt.Connect("old-gauge"));
        var burst = Task.Run(async () =>
        {
            for (var seq = 1; seq <= Burst; seq++)
                await connection.WriteAsync(
                    BareMqtt.Publish(Messages.StoreTopic, Messages.Level(seq), 1 + (seq % 60_000))
                );
        });
        var answers = Task.Run(() => BareMqtt.CountAcknowledgementsAsync(connection, Burst));
        await host.Journal.Begun.WaitAsync(IngestionTestHost.Generous);
        await IngestionTestHost.Until(async () => await host.WaitingAsync() + host.Journal.InCommit >= Window);

        var live = new List<Task>();
        for (var machine = 1; machine <= 10; machine++)
        {
            var device = await host.DeviceAsync($"live-{machine}");
            var topic = $"agri/v1/quarry-farm/live-{machine}/store";
            live.Add(device.PublishAsync(topic, Messages.Level(1)));
        }
        await IngestionTestHost.Until(async () => await host.WaitingAsync() + host.Journal.InCommit == Window + 10);
        host.Journal.Release();
        await Task.WhenAll(live).WaitAsync(IngestionTestHost.Generous);
        await burst.WaitAsync(IngestionTestHost.Generous);
        Assert.Equal(Burst, await answers.WaitAsync(IngestionTestHost.Generous));

        var order = host
            .Journal.Batches.Select(batch => ((StorageLevelMeasured)batch.Event).Batch.EquipmentId)
            .ToList();
        Assert.Equal(Burst + 10, order.Count);
        // Of the burst, only the messages already in the window come first, and those let in while the ten were stored.
        Assert.InRange(order.FindLastIndex(id => id != "gauge-1"), 10, Window + 10);
    }

    [Theory]
    [InlineData(MqttProtocolVersion.V311)]
    [InlineData(MqttProtocolVersion.V500)]
    public async Task A_connection_has_no_more_unacknowledged_messages_than_announced(MqttProtocolVersion version)
    {
        await using var host = await IngestionTestHost.StartAsync(new() { ReceiveMaximum = 5 });
        host.Journal.Hold();
        using var device = await host.DeviceAsync(version: version);

        var sent = Enumerable.Range(1, 40).Select(seq => device.PublishLevelAsync(seq)).ToArray();
        await host.Journal.Begun.WaitAsync(IngestionTestHost.Generous);
        await IngestionTestHost.Until(async () => await host.WaitingAsync() + host.Journal.InCommit == 5);
        Assert.All(sent, publish => Assert.False(publish.IsCompleted));
        host.Journal.Release();
        await Task.WhenAll(sent).WaitAsync(IngestionTestHost.Generous);

        Assert.Equal(Enumerable.Range(1, 40).Select(seq => (long)seq), host.Journal.Seqs);
        Assert.All(host.Journal.BatchSizes, size => Assert.InRange(size, 1, 5));
    }
}
