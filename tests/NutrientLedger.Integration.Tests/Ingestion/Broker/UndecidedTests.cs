using MQTTnet;
using MQTTnet.Formatter;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Ingestion.Monitoring;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Persistence.Messages;

namespace NutrientLedger.Integration.Tests.Ingestion.Broker;

/// <summary>What a device gets whose numbers are known with other readings, and what the log says.</summary>
public sealed class UndecidedTests
{
    [Fact]
    public async Task Many_messages_that_wait_for_a_decision_are_one_line_of_the_log_that_names_the_device()
    {
        var log = new CollectedLog();
        await using var host = await IngestionTestHost.StartAsync(log: log);
        using var device = await host.DeviceAsync();
        host.Journal.Answer = it => new AppendResult.Rejected($"Reading {Seq(it)} of gauge-1", WaitingFor.Decision);

        for (var seq = 1; seq <= 30; seq++)
        {
            var answer = await device.PublishLevelAsync(seq).WaitAsync(IngestionTestHost.Generous);
            Assert.Equal(
                (MqttClientPublishReasonCode.PayloadFormatInvalid, $"Reading {seq} of gauge-1"),
                (answer.ReasonCode, answer.ReasonString)
            );
        }

        Assert.Equal(
            $"Warning: 1 messages on {Messages.StoreTopic} wait for a decision. The last: Reading 1 of gauge-1",
            Assert.Single(log.Lines, line => line.Contains("wait for a decision", StringComparison.Ordinal))
        );
    }

    [Fact]
    public async Task What_could_not_be_compared_is_sent_again()
    {
        await using var host = await IngestionTestHost.StartAsync();
        using var newer = await host.DeviceAsync();
        using var older = await host.DeviceAsync("gauge-2", MqttProtocolVersion.V311);
        host.Journal.Answer = _ => new AppendResult.NotCommitted("Too many at once.");

        var answer = await newer.PublishLevelAsync(1).WaitAsync(IngestionTestHost.Generous);
        await Assert.ThrowsAnyAsync<Exception>(() => older.PublishLevelAsync(1).WaitAsync(IngestionTestHost.Generous));

        Assert.Equal(MqttClientPublishReasonCode.UnspecifiedError, answer.ReasonCode);
        host.Journal.Answer = null;
        Assert.True((await newer.PublishLevelAsync(1)).IsSuccess);
    }

    private static long Seq(DecodedMessage message) => ((StorageLevelMeasured)message.Event).Batch.FirstSeq;
}
