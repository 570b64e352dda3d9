using MQTTnet;
using MQTTnet.Exceptions;
using MQTTnet.Formatter;
using MQTTnet.Protocol;

namespace NutrientLedger.Demo;

/// <summary>
/// Plays one device: sends its recorded messages over its own MQTT connection, several at once. A message counts as
/// sent when the hub has acknowledged it. After a lost connection it resumes at the first unacknowledged one.
/// </summary>
public sealed class DevicePlayback(
    string name,
    IReadOnlyList<string> files,
    int mqttPort,
    Bookmark bookmark,
    TimeProvider time
)
{
    /// <summary>Max number of unacknowledged messages; a little below the limit of the hub's broker.</summary>
    private const int UnacknowledgedMax = 200;

    private static readonly TimeSpan ReconnectAfter = TimeSpan.FromMilliseconds(500);
    private static readonly TimeSpan BookmarkEvery = TimeSpan.FromSeconds(1);

    private long acknowledged;
    private long bookmarkedAt;

    /// <summary>Messages that the hub has acknowledged, including those of earlier playbacks.</summary>
    public long Acknowledged => Interlocked.Read(ref acknowledged);

    /// <summary>The messages after the bookmark.</summary>
    public async IAsyncEnumerable<DemoMessage> RemainingAsync()
    {
        var skip = bookmark.Read();
        await foreach (var message in DemoStreams.ReadAsync(files))
            if (skip-- <= 0)
                yield return message;
    }

    /// <summary>
    /// Sends everything after the bookmark and returns when all is acknowledged. Without a pace it sends as fast as the
    /// hub stores.
    /// </summary>
    public async Task PlayAsync(Pace? pace, CancellationToken cancellationToken)
    {
        acknowledged = bookmark.Read();
        while (true)
        {
            try
            {
                await PlayOneConnectionAsync(pace, cancellationToken);
                bookmark.Write(Acknowledged);
                return;
            }
            catch (Exception e) when (IsConnectionError(e))
            {
                bookmark.Write(Acknowledged);
                cancellationToken.ThrowIfCancellationRequested();
                await Task.Delay(ReconnectAfter, time, cancellationToken);
            }
        }
    }

    private async Task PlayOneConnectionAsync(Pace? pace, CancellationToken cancellationToken)
    {
        using var client = new MqttClientFactory().CreateMqttClient();
        var options = new MqttClientOptionsBuilder()
            .WithTcpServer("127.0.0.1", mqttPort)
            .WithProtocolVersion(MqttProtocolVersion.V500)
            .WithClientId($"demo-{name}")
            .WithTimeout(TimeSpan.FromSeconds(60))
            .Build();
        await client.ConnectAsync(options, cancellationToken);
        var unacknowledged = new Queue<Task<MqttClientPublishResult>>();
        var skip = Acknowledged;
        await foreach (var message in DemoStreams.ReadAsync(files).WithCancellation(cancellationToken))
        {
            if (skip-- > 0)
                continue;
            if (pace is not null)
                await WaitAsync(pace, message, unacknowledged, cancellationToken);
            if (unacknowledged.Count >= UnacknowledgedMax)
                await AwaitOldestAsync(unacknowledged);
            unacknowledged.Enqueue(PublishAsync(client, message, cancellationToken));
        }
        while (unacknowledged.Count > 0)
            await AwaitOldestAsync(unacknowledged);
        await client.DisconnectAsync(cancellationToken: cancellationToken);
    }

    /// <summary>Waits until the message is due, then counts what was acknowledged meanwhile.</summary>
    private async Task WaitAsync(
        Pace pace,
        DemoMessage message,
        Queue<Task<MqttClientPublishResult>> unacknowledged,
        CancellationToken cancellationToken
    )
    {
        await pace.WaitForAsync(message.SendAtMilliseconds, cancellationToken);
        while (unacknowledged.TryPeek(out var oldest) && oldest.IsCompleted)
            await AwaitOldestAsync(unacknowledged);
    }

    private async Task AwaitOldestAsync(Queue<Task<MqttClientPublishResult>> unacknowledged)
    {
        var result = await unacknowledged.Dequeue();
        if (
            result.ReasonCode >= MqttClientPublishReasonCode.UnspecifiedError
            && result.ReasonCode != MqttClientPublishReasonCode.PayloadFormatInvalid // the hub keeps it as a dead letter; sending it again cannot help
        )
            throw new MqttCommunicationException($"The hub answered {result.ReasonCode}; the message is sent again.");
        Interlocked.Increment(ref acknowledged);
        if (time.GetElapsedTime(bookmarkedAt) < BookmarkEvery)
            return;
        bookmark.Write(Acknowledged);
        bookmarkedAt = time.GetTimestamp();
    }

    private static Task<MqttClientPublishResult> PublishAsync(
        IMqttClient client,
        DemoMessage message,
        CancellationToken cancellationToken
    ) =>
        client.PublishAsync(
            new MqttApplicationMessageBuilder()
                .WithTopic(message.Topic)
                .WithPayload(message.Payload)
                .WithContentType("application/senml+json")
                .WithQualityOfServiceLevel(MqttQualityOfServiceLevel.AtLeastOnce)
                .Build(),
            cancellationToken
        );

    /// <summary>
    /// Connection and broker errors pass. MQTTnet reports some of them as cancelled or invalid operations.
    /// </summary>
    private static bool IsConnectionError(Exception e) =>
        e is MqttCommunicationException or OperationCanceledException or IOException or InvalidOperationException;
}
