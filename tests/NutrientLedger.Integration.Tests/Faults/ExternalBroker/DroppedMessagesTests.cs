using System.Globalization;
using System.Text.RegularExpressions;
using MQTTnet;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Faults.ExternalBroker;

/// <summary>A broker with too small a queue acknowledges messages and drops them. The hub reports how many.</summary>
public sealed partial class DroppedMessagesTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    private const int Sent = 600;

    [BrokerFact]
    public async Task Messages_the_broker_dropped_are_counted_in_health_and_log()
    {
        await using var store = await PersistenceTestHost.StartAsync(
            database.ConnectionString,
            keepsLedgersCurrent: false
        );
        await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
        await using var broker = await Mosquitto.StartAsync(queuedMax: 100);
        await using (var first = ExternalHub.Start(database, broker))
        {
            await first.UntilIngestionReportsAsync("active since");
            await first.Process.KillAsync();
        }
        using var device = new MqttClientFactory().CreateMqttClient();
        await device.ConnectAsync(new MqttClientOptionsBuilder().WithTcpServer("127.0.0.1", broker.Port).Build());
        var reported = new TaskCompletionSource();
        device.ApplicationMessageReceivedAsync += e =>
        {
            if (e.ApplicationMessage.ConvertPayloadToString() != "0")
                reported.TrySetResult();
            return Task.CompletedTask;
        };
        await device.SubscribeAsync("$SYS/broker/publish/messages/dropped");
        await SendAsync(device, 1, Sent / 2);
        // The broker reports a count while the hub is away and its queue is full; that count must not be added to what
        // was dropped.
        await reported.Task.WaitAsync(PersistenceTestHost.Patience);
        await SendAsync(device, (Sent / 2) + 1, Sent);

        await using var hub = ExternalHub.Start(database, broker);
        // The broker reports its count every few seconds, so the hub may get a part first.
        var dropped = 0;
        await PersistenceTestHost.UntilAsync(async () =>
        {
            dropped = Number(Dropped().Match(await hub.UntilIngestionReportsAsync("has dropped")));
            return await StoredAsync(store) == Sent - dropped;
        });

        Assert.InRange(dropped, 1, Sent - 1);
        // A process's output arrives a little later.
        await PersistenceTestHost.UntilAsync(() =>
            Task.FromResult(Lines().Matches(hub.Process.Output).Sum(Number) >= dropped)
        );
        Assert.Equal(dropped, Lines().Matches(hub.Process.Output).Sum(Number));
    }

    private static async Task SendAsync(IMqttClient device, int first, int last)
    {
        for (var seq = first; seq <= last; seq++)
            Assert.True(
                (await device.PublishAsync($"agri/v1/{Some.Farm}/{Some.Gauge}/store", Messages.Level(seq))).IsSuccess
            );
    }

    private static int Number(Match match) => int.Parse(match.Groups[1].ValueSpan, CultureInfo.InvariantCulture);

    private static async Task<long> StoredAsync(PersistenceTestHost store) =>
        (await store.Devices.DevicesAsync(Some.Farm, CancellationToken.None)).Sum(device => device.ReadingsStored);

    [GeneratedRegex(@"has dropped (\d+) messages")]
    private static partial Regex Dropped();

    [GeneratedRegex(@"The external broker dropped (\d+) messages")]
    private static partial Regex Lines();
}
