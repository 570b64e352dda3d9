using MQTTnet;
using MQTTnet.Formatter;
using MQTTnet.Protocol;
using NutrientLedger.Ingestion.Queueing;
using NutrientLedger.Integration.Tests.Farms;

namespace NutrientLedger.Integration.Tests.Ingestion.Broker;

public sealed class AcknowledgementTests
{
    private static readonly IngestionLimits Impatient = new() { CommitLimit = TimeSpan.FromMilliseconds(200) };

    [Theory]
    [InlineData(MqttProtocolVersion.V500, MqttQualityOfServiceLevel.AtLeastOnce)]
    [InlineData(MqttProtocolVersion.V311, MqttQualityOfServiceLevel.AtLeastOnce)]
    [InlineData(MqttProtocolVersion.V500, MqttQualityOfServiceLevel.ExactlyOnce)]
    [InlineData(MqttProtocolVersion.V311, MqttQualityOfServiceLevel.ExactlyOnce)]
    public async Task The_acknowledgement_leaves_only_after_the_commit(
        MqttProtocolVersion version,
        MqttQualityOfServiceLevel quality
    )
    {
        await using var host = await IngestionTestHost.StartAsync();
        host.Journal.Hold();
        using var device = await host.DeviceAsync(version: version);

        var publish = device.PublishLevelAsync(7, quality: quality);
        await host.Journal.Begun.WaitAsync(IngestionTestHost.Generous);
        Assert.Empty(host.Journal.Batches);
        Assert.False(publish.IsCompleted);
        host.Journal.Release();
        var answer = await publish.WaitAsync(IngestionTestHost.Generous);

        Assert.Equal(MqttClientPublishReasonCode.Success, answer.ReasonCode);
        Assert.Equal([7], host.Journal.Seqs);
        Assert.Equal(Messages.Level(7), host.Journal.Batches.Single().Payload.ToArray());
    }

    [Fact]
    public async Task A_commit_that_fails_for_good_is_answered_0x80_and_the_message_can_be_sent_again()
    {
        await using var host = await IngestionTestHost.StartAsync(Impatient);
        host.Journal.Fault = (_, _) => new TimeoutException("no database");
        using var device = await host.DeviceAsync();

        var rejected = await device.PublishLevelAsync(1).WaitAsync(IngestionTestHost.Generous);
        host.Journal.Fault = (_, _) => null;
        // Retries like a device that is told to send again: on a busy machine even a sound commit may exceed this
        // limit.
        await IngestionTestHost.Until(async () => (await device.PublishLevelAsync(1)).IsSuccess);

        Assert.Equal(MqttClientPublishReasonCode.UnspecifiedError, rejected.ReasonCode);
        Assert.True(device.IsConnected);
        Assert.Equal([1], host.Journal.Seqs);
    }

    [Fact]
    public async Task A_device_without_reason_codes_is_disconnected_when_nothing_was_stored()
    {
        await using var host = await IngestionTestHost.StartAsync(Impatient);
        host.Journal.Fault = (_, _) => new TimeoutException("no database");
        using var device = await host.DeviceAsync(version: MqttProtocolVersion.V311);
        var closed = new TaskCompletionSource();
        device.DisconnectedAsync += _ =>
        {
            closed.TrySetResult();
            return Task.CompletedTask;
        };

        await Assert.ThrowsAnyAsync<Exception>(() => device.PublishLevelAsync(1).WaitAsync(IngestionTestHost.Generous));
        await closed.Task.WaitAsync(IngestionTestHost.Generous);

        Assert.Empty(host.Journal.Batches);
    }

    [Fact]
    public async Task A_transient_database_error_is_waited_out()
    {
        await using var host = await IngestionTestHost.StartAsync();
        host.Journal.Fault = (_, _) => host.Journal.Attempts < 3 ? new IOException("line to the database lost") : null;
        using var device = await host.DeviceAsync();

        var answer = await device.PublishLevelAsync(1).WaitAsync(IngestionTestHost.Generous);

        Assert.Equal(MqttClientPublishReasonCode.Success, answer.ReasonCode);
        Assert.Equal(3, host.Journal.Attempts);
        Assert.Equal([1], host.Journal.Seqs);
    }

    [Fact]
    public async Task One_message_the_journal_cannot_take_does_not_stop_the_others()
    {
        await using var host = await IngestionTestHost.StartAsync();
        host.Journal.Hold();
        host.Journal.Fault = (batches, _) =>
            batches.Any(batch => batch.Payload.Span.SequenceEqual(Messages.Level(13)))
                ? new InvalidDataException("13")
                : null;
        using var device = await host.DeviceAsync();

        var first = device.PublishLevelAsync(1);
        await host.Journal.Begun.WaitAsync(IngestionTestHost.Generous);
        var rest = Enumerable.Range(2, 39).Select(seq => device.PublishLevelAsync(seq)).ToArray();
        await IngestionTestHost.Until(async () => await host.WaitingAsync() == 39);
        host.Journal.Release();
        var codes = (await Task.WhenAll([first, .. rest]).WaitAsync(IngestionTestHost.Generous)).Select(answer =>
            answer.ReasonCode
        );

        Assert.Equal(
            [13],
            codes.Index().Where(c => c.Item != MqttClientPublishReasonCode.Success).Select(c => c.Index + 1)
        );
        Assert.Equal(Enumerable.Range(1, 40).Select(seq => (long)seq).Except([13]), host.Journal.Seqs.Order());
        var kept = Assert.Single(host.Journal.Rejected);
        Assert.Equal(Messages.Level(13), kept.Payload.ToArray());
    }

    [Theory]
    [InlineData(MqttProtocolVersion.V500, MqttClientPublishReasonCode.PayloadFormatInvalid)]
    [InlineData(MqttProtocolVersion.V311, MqttClientPublishReasonCode.Success)]
    public async Task An_unreadable_message_becomes_a_dead_letter_and_is_acknowledged(
        MqttProtocolVersion version,
        MqttClientPublishReasonCode expected
    )
    {
        await using var host = await IngestionTestHost.StartAsync();
        using var device = await host.DeviceAsync(version: version);
        byte[] broken = [.. "[{\"n\":"u8, 0xFF];

        var answer = await device.PublishAsync(Messages.StoreTopic, broken).WaitAsync(IngestionTestHost.Generous);

        Assert.Equal(expected, answer.ReasonCode);
        var kept = Assert.Single(host.Journal.Rejected);
        Assert.Equal(broken, kept.Payload.ToArray());
        Assert.Equal("The message is not valid UTF-8.", kept.Reason);
        if (version == MqttProtocolVersion.V500)
            Assert.Equal(kept.Reason, answer.ReasonString);
        Assert.True(device.IsConnected);
    }

    [Fact]
    public async Task A_connection_that_takes_over_does_not_inherit_acknowledgements()
    {
        await using var host = await IngestionTestHost.StartAsync();
        host.Journal.Hold();
        var (first, _) = await host.ConnectAsync("gauge-1", MqttProtocolVersion.V311, cleanStart: false);
        var lost = first.PublishLevelAsync(1);
        await host.Journal.Begun.WaitAsync(IngestionTestHost.Generous);
        using var device = (await host.ConnectAsync("gauge-1", MqttProtocolVersion.V311, cleanStart: false)).Device;

        // The same packet identifier as the message on the first connection.
        var publish = device.PublishLevelAsync(2);
        await IngestionTestHost.Until(async () => await host.WaitingAsync() == 1);
        Assert.False(publish.IsCompleted);
        host.Journal.Release();
        await publish.WaitAsync(IngestionTestHost.Generous);

        Assert.Equal([1, 2], host.Journal.Seqs);
        await Assert.ThrowsAnyAsync<Exception>(() => lost.WaitAsync(IngestionTestHost.Generous));
        first.Dispose();
    }

    [Fact]
    public async Task A_message_without_acknowledgement_is_stored_too()
    {
        await using var host = await IngestionTestHost.StartAsync();
        using var device = await host.DeviceAsync();

        await device.PublishLevelAsync(5, quality: MqttQualityOfServiceLevel.AtMostOnce);
        await IngestionTestHost.Until(() => !host.Journal.Batches.IsEmpty);

        Assert.Equal([5], host.Journal.Seqs);
    }
}
