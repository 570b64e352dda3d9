using System.Security.Cryptography;
using MQTTnet;
using MQTTnet.Formatter;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Persistence.Messages;

namespace NutrientLedger.Integration.Tests.Ingestion.Broker;

/// <summary>
/// A message that is too large to be read is acknowledged. Its beginning, length and SHA-256 are kept.
/// </summary>
public sealed class OversizedMessageTests
{
    private const int ReadMax = 256 * 1024;

    [Theory]
    [InlineData(MqttProtocolVersion.V500, MqttClientPublishReasonCode.PayloadFormatInvalid)]
    [InlineData(MqttProtocolVersion.V311, MqttClientPublishReasonCode.Success)]
    public async Task It_is_acknowledged_and_what_follows_passes(
        MqttProtocolVersion version,
        MqttClientPublishReasonCode expected
    )
    {
        await using var host = await IngestionTestHost.StartAsync();
        using var device = await host.DeviceAsync(version: version);
        var tooLarge = Messages.Level(1, 3 * 1024 * 1024);

        var answer = await device.PublishAsync(Messages.StoreTopic, tooLarge).WaitAsync(IngestionTestHost.Generous);
        await device.PublishLevelAsync(2).WaitAsync(IngestionTestHost.Generous);

        Assert.Equal(expected, answer.ReasonCode);
        var kept = Assert.Single(host.Journal.Rejected);
        Assert.Equal(tooLarge[..4096], kept.Payload.ToArray());
        Assert.Equal(
            new WholePayload(tooLarge.Length, Convert.ToHexStringLower(SHA256.HashData(tooLarge))),
            kept.Whole
        );
        Assert.StartsWith("The message has 3145728 bytes; at most 262144 are read.", kept.Reason);
        if (version == MqttProtocolVersion.V500)
            Assert.Equal(kept.Reason, answer.ReasonString);
        Assert.Equal([2], host.Journal.Seqs);
    }

    [Fact]
    public async Task On_another_topic_it_is_cut_too()
    {
        await using var host = await IngestionTestHost.StartAsync();
        using var device = await host.DeviceAsync();

        var answer = await device.PublishAsync("elsewhere", new byte[ReadMax + 1]);

        Assert.Equal(MqttClientPublishReasonCode.TopicNameInvalid, answer.ReasonCode);
        var kept = Assert.Single(host.Journal.Rejected);
        Assert.Equal((4096, ReadMax + 1), (kept.Payload.Length, kept.Whole!.Bytes));
    }

    [Fact]
    public async Task The_largest_message_is_read()
    {
        await using var host = await IngestionTestHost.StartAsync();
        using var device = await host.DeviceAsync();

        Assert.True((await device.PublishLevelAsync(1, ReadMax)).IsSuccess);

        Assert.Equal([1], host.Journal.Seqs);
    }
}
