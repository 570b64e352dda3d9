using System.Globalization;
using System.Text.RegularExpressions;
using MQTTnet;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Intake;
using NutrientLedger.Integration.Tests.Store;

namespace NutrientLedger.Integration.Tests.Line;

/// <summary>A broker that is allowed to queue too little acknowledges messages and throws them away; the hub says how many.</summary>
public sealed partial class DroppedMessagesTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    private const int Sent = 600;

    [BrokerFact]
    public async Task Messages_the_broker_dropped_are_told_with_their_number_in_health_and_log()
    {
        await using var store = await StoreHost.StartAsync(database.ConnectionString, keepsLedgersCurrent: false);
        await store.RecordAsync(Some.Farm, Some.Register());
        await using var broker = await Mosquitto.StartAsync(queuedMax: 100);
        await using (var first = ExternalHub.Start(database, broker))
        {
            await first.UntilIntakeSaysAsync("active since");
            await first.Process.KillAsync();
        }
        using var device = new MqttClientFactory().CreateMqttClient();
        await device.ConnectAsync(new MqttClientOptionsBuilder().WithTcpServer("127.0.0.1", broker.Port).Build());
        for (var seq = 1; seq <= Sent; seq++)
            Assert.True(
                (await device.PublishAsync($"agri/v1/{Some.Farm}/{Some.Gauge}/store", Messages.Level(seq))).IsSuccess
            );

        await using var hub = ExternalHub.Start(database, broker);
        var words = await hub.UntilIntakeSaysAsync("has dropped");
        var dropped = int.Parse(Dropped().Match(words).Groups[1].ValueSpan, CultureInfo.InvariantCulture);

        Assert.InRange(dropped, 1, Sent - 1);
        await StoreHost.UntilAsync(async () => await StoredAsync(store) == Sent - dropped);
        Assert.Single(Lines().Matches(hub.Process.Output));
    }

    private static async Task<long> StoredAsync(StoreHost store) =>
        (await store.Devices.DevicesAsync(Some.Farm, CancellationToken.None)).Sum(device => device.ReadingsStored);

    [GeneratedRegex(@"has dropped (\d+) messages")]
    private static partial Regex Dropped();

    [GeneratedRegex(@"The external broker dropped \d+ messages")]
    private static partial Regex Lines();
}
