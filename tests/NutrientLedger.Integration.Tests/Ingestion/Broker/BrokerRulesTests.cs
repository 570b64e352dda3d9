using MQTTnet;
using MQTTnet.Formatter;
using NutrientLedger.Integration.Tests.Farms;

namespace NutrientLedger.Integration.Tests.Ingestion.Broker;

public sealed class BrokerRulesTests
{
    private static readonly byte[] Note = "1"u8.ToArray();

    [Fact]
    public async Task The_connack_announces_how_much_is_accepted_at_a_time()
    {
        await using var host = await IngestionTestHost.StartAsync();

        var (device, welcome) = await host.ConnectAsync("gauge-1", MqttProtocolVersion.V500);
        device.Dispose();

        Assert.Equal(256, (int)welcome.ReceiveMaximum!);
        Assert.Equal(4 * 1024 * 1024, (int)welcome.MaximumPacketSize!);
    }

    [Theory]
    [InlineData("agri/v1/quarry-farm/gauge-1/stored")]
    [InlineData("agri/v1/quarry-farm/gauge-1")]
    [InlineData("agri/v2/quarry-farm/gauge-1/store")]
    [InlineData("agri/v1/Quarry/gauge-1/about")]
    [InlineData("agri/v1/quarry-farm/gauge-1/store\u0001")]
    [InlineData("agri/v1/quarry-farm/gau\uFFFDge/store")]
    [InlineData("elsewhere")]
    public async Task A_message_on_another_topic_is_kept_as_rejected_and_holds_nothing_up(string topic)
    {
        await using var host = await IngestionTestHost.StartAsync();
        using var modern = await host.DeviceAsync("a");
        using var old = await host.DeviceAsync("b", MqttProtocolVersion.V311);

        var answer = await modern.PublishAsync(topic, Messages.Level(1)).WaitAsync(IngestionTestHost.Generous);
        var puback = await old.PublishAsync(topic, Messages.Level(2)).WaitAsync(IngestionTestHost.Generous);
        await old.PublishLevelAsync(3).WaitAsync(IngestionTestHost.Generous);

        Assert.Equal(MqttClientPublishReasonCode.TopicNameInvalid, answer.ReasonCode);
        Assert.True(puback.IsSuccess);
        Assert.Equal(
            [Messages.Level(1), Messages.Level(2)],
            host.Journal.Rejected.Select(kept => kept.Payload.ToArray())
        );
        Assert.All(
            host.Journal.Rejected,
            kept =>
            {
                Assert.Equal(topic, kept.Topic);
                Assert.StartsWith("The topic ", kept.Reason, StringComparison.Ordinal);
                Assert.Equal(answer.ReasonString, kept.Reason);
            }
        );
        Assert.Equal([3], host.Journal.Seqs);
    }

    [Fact]
    public async Task A_valid_topic_with_a_wrong_id_becomes_a_dead_letter()
    {
        await using var host = await IngestionTestHost.StartAsync();
        using var device = await host.DeviceAsync();

        var answer = await device.PublishAsync("agri/v1/Quarry/gauge-1/store", Messages.Level(1));

        Assert.Equal(MqttClientPublishReasonCode.PayloadFormatInvalid, answer.ReasonCode);
        Assert.Single(host.Journal.Rejected);
    }

    [Fact]
    public async Task A_device_description_is_retained_for_later_subscribers()
    {
        await using var host = await IngestionTestHost.StartAsync();
        using var device = await host.DeviceAsync();
        await device.PublishAsync("agri/v1/quarry-farm/gauge-1/online", Note, retain: true);
        using var listener = await host.DeviceAsync("listener");
        var received = new TaskCompletionSource<string>(TaskCreationOptions.RunContinuationsAsynchronously);
        listener.ApplicationMessageReceivedAsync += e =>
        {
            received.TrySetResult(e.ApplicationMessage.Topic);
            return Task.CompletedTask;
        };

        await listener.SubscribeAsync("agri/v1/+/+/online");

        Assert.Equal("agri/v1/quarry-farm/gauge-1/online", await received.Task.WaitAsync(IngestionTestHost.Generous));
    }

    [Theory]
    [InlineData("#")]
    [InlineData("agri/v1/+/+/store")]
    public async Task Telemetry_cannot_be_overheard(string filter)
    {
        await using var host = await IngestionTestHost.StartAsync();
        using var listener = await host.DeviceAsync("listener");

        var answer = await listener.SubscribeAsync(filter);

        Assert.Equal(MqttClientSubscribeResultCode.NotAuthorized, answer.Items.Single().ResultCode);
    }

    [Fact]
    public async Task An_oversized_description_is_rejected()
    {
        await using var host = await IngestionTestHost.StartAsync();
        using var device = await host.DeviceAsync();

        var answer = await device.PublishAsync("agri/v1/quarry-farm/gauge-1/about", new byte[5000]);

        Assert.Equal(MqttClientPublishReasonCode.QuotaExceeded, answer.ReasonCode);
        Assert.Equal(answer.ReasonString, Assert.Single(host.Journal.Rejected).Reason);
    }

    [Fact]
    public async Task An_oversized_client_id_is_rejected()
    {
        await using var host = await IngestionTestHost.StartAsync();

        var (device, welcome) = await host.ConnectAsync(new string('a', 200), MqttProtocolVersion.V500);
        device.Dispose();

        Assert.Equal(MqttClientConnectResultCode.ClientIdentifierNotValid, welcome.ResultCode);
    }

    [Fact]
    public async Task A_client_without_an_id_is_given_one()
    {
        await using var host = await IngestionTestHost.StartAsync();

        var (device, welcome) = await host.ConnectAsync("", MqttProtocolVersion.V500);
        device.Dispose();

        Assert.Equal(MqttClientConnectResultCode.Success, welcome.ResultCode);
        Assert.StartsWith("unnamed-", welcome.AssignedClientIdentifier, StringComparison.Ordinal);
    }
}
