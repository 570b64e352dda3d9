using System.Buffers;
using System.Threading.Channels;
using MQTTnet;
using MQTTnet.Formatter;
using MQTTnet.Protocol;
using NutrientLedger.Ingestion.Broker;
using NutrientLedger.Ingestion.Queueing;

namespace NutrientLedger.Ingestion.ExternalBrokers;

/// <summary>
/// One connection to an external broker, with its own client. A client that outlived its connection could acknowledge
/// an old message under a number that the broker has given to a new one. Messages are acknowledged after their commit,
/// in order of arrival.
/// </summary>
internal sealed class BrokerConnection : IDisposable
{
    /// <summary>
    /// Seven days, in seconds. For so long the broker keeps messages while no hub listens, and a standby finds the
    /// session.
    /// </summary>
    private const uint SessionSeconds = 7 * 24 * 3600;

    /// <summary>
    /// The buffers of the socket, in bytes. The client's own 8 KiB are less than one segment of the loopback, so that
    /// after a burst the sender waits for a timer before each segment. An operating system may give less.
    /// </summary>
    private const int SocketBufferBytes = 1024 * 1024;

    private static readonly TimeSpan AnswerMax = TimeSpan.FromSeconds(10);

    private readonly IMqttClient client = new MqttClientFactory().CreateMqttClient();
    private readonly CancellationTokenSource alive = new();
    private readonly TaskCompletionSource<string> gone = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private readonly Channel<Awaited> arrived;
    private readonly IngestionQueue queue;
    private readonly IngestionLimits limits;
    private readonly DroppedMessages dropped;
    private readonly TimeProvider clock;
    private Awaited? awaited;

    private BrokerConnection(IngestionQueue queue, IngestionLimits limits, DroppedMessages dropped, TimeProvider clock)
    {
        (this.queue, this.limits, this.dropped, this.clock) = (queue, limits, dropped, clock);
        arrived = Channel.CreateBounded<Awaited>(4 * limits.ReceiveMaximum);
        client.ApplicationMessageReceivedAsync += ReceiveAsync;
        client.DisconnectedAsync += e =>
        {
            if (e.ClientWasConnected)
                gone.TrySetResult(e.ReasonString ?? e.Exception?.Message ?? e.Reason.ToString());
            return Task.CompletedTask;
        };
    }

    /// <summary>
    /// How many messages this connection received and has not acknowledged, and how long the oldest waits. What waits
    /// in the broker itself is not known: MQTT has no word for it.
    /// </summary>
    public (int Messages, TimeSpan Oldest) Waiting =>
        Volatile.Read(ref awaited) is { } oldest
            ? (arrived.Reader.Count + 1, clock.GetElapsedTime(oldest.ReceivedAt))
            : default;

    /// <summary>Connects as the partition and subscribes.</summary>
    /// <exception cref="IOException">
    /// The broker rejected the connection or a subscription; the message says why.
    /// </exception>
    public static async Task<BrokerConnection> OpenAsync(
        ExternalBroker broker,
        Partition partition,
        IngestionQueue queue,
        IngestionLimits limits,
        DroppedMessages dropped,
        TimeProvider clock,
        CancellationToken cancellationToken
    )
    {
        var connection = new BrokerConnection(queue, limits, dropped, clock);
        try
        {
            await connection.ConnectAsync(broker, partition, cancellationToken);
            return connection;
        }
        catch
        {
            connection.Dispose();
            throw;
        }
    }

    /// <summary>Acknowledges committed messages until the connection ends. Returns why it ended.</summary>
    public async Task<string> RunAsync(CancellationToken stop)
    {
        using var both = CancellationTokenSource.CreateLinkedTokenSource(stop, alive.Token);
        var acknowledging = AcknowledgeAsync(both.Token);
        try
        {
            var ended = await Task.WhenAny(gone.Task, acknowledging).WaitAsync(stop);
            return await ended;
        }
        finally
        {
            await alive.CancelAsync();
            await acknowledging.ContinueWith(_ => { }, TaskScheduler.Default);
        }
    }

    /// <summary>How a partition connects to a broker.</summary>
    internal static MqttClientOptions Options(ExternalBroker broker, Partition partition, IngestionLimits limits) =>
        new MqttClientOptionsBuilder()
            .WithTcpServer(broker.Host, broker.Port)
            .WithTcpServer(tcp => tcp.BufferSize = SocketBufferBytes)
            .WithClientId(partition.ClientId)
            .WithProtocolVersion(MqttProtocolVersion.V500)
            .WithCleanStart(false)
            .WithSessionExpiryInterval(SessionSeconds)
            .WithReceiveMaximum(limits.ReceiveMaximum)
            .WithMaximumPacketSize((uint)limits.PacketBytesMax)
            .WithKeepAlivePeriod(AnswerMax)
            .WithTimeout(AnswerMax)
            .Build();

    /// <summary>Publishes one of the hub's own messages.</summary>
    public async Task PublishAsync(MqttApplicationMessage message, CancellationToken cancellationToken)
    {
        var answer = await client
            .PublishAsync(message, cancellationToken)
            .WaitAsync(AnswerMax, clock, cancellationToken);
        if (!answer.IsSuccess)
            throw new IOException($"The broker rejected {message.Topic}: {answer.ReasonCode} {answer.ReasonString}");
    }

    public void Dispose()
    {
        alive.Cancel();
        client.Dispose();
        alive.Dispose();
    }

    private async Task ConnectAsync(ExternalBroker broker, Partition partition, CancellationToken cancellationToken)
    {
        var options = Options(broker, partition, limits);
        var welcome = await client.ConnectAsync(options, cancellationToken);
        if (welcome.ResultCode != MqttClientConnectResultCode.Success)
            throw new IOException($"The broker rejected the connection: {welcome.ResultCode} {welcome.ReasonString}");
        foreach (var filter in partition.Filters)
            await SubscribeAsync(
                filter,
                MqttQualityOfServiceLevel.AtLeastOnce,
                MqttRetainHandling.DoNotSendOnSubscribe,
                cancellationToken
            );
        try
        {
            // With QoS 0 these counts are not queued while the hub is away, and are not counted as dropped themselves.
            await SubscribeAsync(
                DroppedMessages.Topic,
                MqttQualityOfServiceLevel.AtMostOnce,
                MqttRetainHandling.SendAtSubscribe,
                cancellationToken
            );
        }
        catch (IOException)
        {
            // Not every broker reports dropped messages, and not to everybody. Ingestion does not depend on it.
        }
    }

    private async Task SubscribeAsync(
        string filter,
        MqttQualityOfServiceLevel quality,
        MqttRetainHandling retained,
        CancellationToken cancellationToken
    )
    {
        var subscribe = new MqttClientSubscribeOptionsBuilder()
            .WithTopicFilter(f => f.WithTopic(filter).WithQualityOfServiceLevel(quality).WithRetainHandling(retained))
            .Build();
        var answer = await client.SubscribeAsync(subscribe, cancellationToken);
        foreach (var item in answer.Items)
            if ((int)item.ResultCode != (int)quality)
                throw new IOException(
                    $"The broker rejected the subscription to {filter} with QoS {(int)quality}: {item.ResultCode}"
                );
    }

    /// <summary>
    /// The client calls this for one message after the other. While it waits for room, nothing more is read.
    /// </summary>
    private async Task ReceiveAsync(MqttApplicationMessageReceivedEventArgs e)
    {
        e.AutoAcknowledge = false;
        var message = e.ApplicationMessage;
        var acknowledgement = Task.FromResult(new AcknowledgeResult(AcknowledgeKind.Rejected));
        if (message.Topic == DroppedMessages.Topic)
            dropped.Update(message.Payload.ToArray());
        else
        {
            var (route, _, reason) = PublishRules.Of(message.Topic, message.Payload.Length);
            var rejection = route == PublishRoute.Telemetry ? null : reason;
            var queued = QueuedMessage.Of(message, rejection, clock.GetTimestamp());
            try
            {
                if (!await queue.AdmitAsync(queued, alive.Token))
                    return;
            }
            catch (OperationCanceledException)
            {
                // The connection has ended. The broker sends the message again on the next one.
                return;
            }
            acknowledgement = queued.Acknowledgement;
        }
        await arrived.Writer.WriteAsync(new(e, acknowledgement, clock.GetTimestamp()), alive.Token);
    }

    private async Task<string> AcknowledgeAsync(CancellationToken stop)
    {
        await foreach (var oldest in arrived.Reader.ReadAllAsync(stop))
        {
            Volatile.Write(ref awaited, oldest);
            // The broker repeats a message only on a new connection, so an uncommitted message ends this one.
            if ((await oldest.Result.WaitAsync(stop)).Kind == AcknowledgeKind.NotCommitted)
                return "messages could not be committed and are requested again";
            await oldest.Arrived.AcknowledgeAsync(stop);
            Volatile.Write(ref awaited, null);
        }
        return "the connection was closed";
    }

    /// <summary>A received message that waits for its result.</summary>
    private sealed record Awaited(
        MqttApplicationMessageReceivedEventArgs Arrived,
        Task<AcknowledgeResult> Result,
        long ReceivedAt
    );
}
