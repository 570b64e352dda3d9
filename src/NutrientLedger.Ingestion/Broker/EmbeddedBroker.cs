using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using MQTTnet;
using MQTTnet.Formatter;
using MQTTnet.Packets;
using MQTTnet.Protocol;
using MQTTnet.Server;
using NutrientLedger.Ingestion.Commit;
using NutrientLedger.Ingestion.Monitoring;
using NutrientLedger.Ingestion.Queueing;
using NutrientLedger.Ingestion.Watermarks;
using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Ingestion.Broker;

/// <summary>
/// The MQTT broker inside the hub. It decodes and queues each telemetry message on arrival. It acknowledges the message
/// only after the commit, so every acknowledged message is stored.
/// </summary>
internal sealed class EmbeddedBroker(
    MqttServer server,
    IngestionQueue queue,
    CommitLoop committing,
    IngestionLimits limits,
    TimeProvider clock,
    IngestionMeter meter,
    IngestionStatus status,
    ReconnectDelays reconnects,
    ILogger<EmbeddedBroker> logger
) : IHostedLifecycleService, IWatermarkPublisher
{
    private const int RetainedMax = 1000;

    private const string NoticesFull =
        "The hub retains as many messages of about and online as it can. Clear some that are not used any more.";

    // The broker keeps nothing else of ours with a connection than these session items.
    private static readonly object ReadsReasons = new();
    private static readonly object Window = new();

    // The hub's own messages carry these items, which no connection has.
    private static readonly Dictionary<object, object> HubsOwn = [];

    private readonly IngestionLog log = new(logger);
    private readonly ConnectionValidator connectionValidator = new();
    private readonly LogThrottle logThrottle = new(clock);
    private int retained;

    public Task StartingAsync(CancellationToken cancellationToken)
    {
        server.StartedAsync += _ => Sync(() => status.BrokerStarted = true);
        server.StoppedAsync += _ => Sync(() => status.BrokerStarted = false);
        server.ValidatingConnectionAsync += e =>
        {
            connectionValidator.Validate(e);
            return reconnects.WaitAsync(e.ClientId ?? "", e.CancellationToken);
        };
        server.ClientConnectedAsync += e =>
            Sync(() =>
            {
                e.SessionItems[ReadsReasons] = e.ProtocolVersion == MqttProtocolVersion.V500;
                e.SessionItems[Window] = new SemaphoreSlim(limits.ReceiveMaximum);
            });
        server.RetainedMessageChangedAsync += e =>
            Sync(() =>
                retained = e.StoredRetainedMessages.Count(kept =>
                    !kept.Topic.EndsWith(PendingWatermarks.TopicEnd, StringComparison.Ordinal)
                )
            );
        server.InterceptingSubscriptionAsync += e => Sync(() => Subscribe(e));
        server.InterceptingPublishAsync += InterceptPublishAsync;
        server.InterceptingOutboundPacketAsync += InterceptOutboundAsync;
        return Task.CompletedTask;
    }

    /// <summary>
    /// Commits what has arrived and then closes the connections. A host would wait half a minute for open connections.
    /// </summary>
    public async Task StoppingAsync(CancellationToken cancellationToken)
    {
        await committing.DrainAsync(cancellationToken);
        var goodbye = new MqttServerStopOptionsBuilder().WithDefaultClientDisconnectOptions(options =>
            options.WithReasonCode(MqttDisconnectReasonCode.ServerShuttingDown)
        );
        await server.StopAsync(goodbye.Build());
    }

    public Task StartAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    public Task StartedAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    public Task StopAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    public Task StoppedAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    public async Task<bool> PublishAsync(
        FarmDevice device,
        MqttApplicationMessage watermark,
        CancellationToken cancellationToken
    )
    {
        if (!status.BrokerStarted)
            return false;
        var own = new InjectedMqttApplicationMessage(watermark) { CustomSessionItems = HubsOwn };
        await server.InjectApplicationMessage(own, cancellationToken);
        return true;
    }

    private static void Subscribe(InterceptingSubscriptionEventArgs e)
    {
        if (PublishRules.MaySubscribe(e.TopicFilter.Topic))
            return;
        e.ProcessSubscription = false;
        e.Response.ReasonCode = MqttSubscribeReasonCode.NotAuthorized;
    }

    private async Task InterceptPublishAsync(InterceptingPublishEventArgs e)
    {
        if (ReferenceEquals(e.SessionItems, HubsOwn))
            return;
        var message = e.ApplicationMessage;
        var topic = message.Topic ?? "";
        var (route, code, reason) = PublishRules.Of(topic, message.Payload.Length);
        if (route == PublishRoute.Notice && (!message.Retain || retained < RetainedMax))
            return;
        e.ProcessPublish = false;
        if (route == PublishRoute.Notice)
            (code, reason) = (MqttPubAckReasonCode.QuotaExceeded, NoticesFull);
        if (route != PublishRoute.Telemetry)
            LogRejected(e, reason);
        var queued = QueuedMessage.Of(message, reason.Length > 0 ? reason : null, clock.GetTimestamp());
        await EnterWindowAsync(e, queued.Acknowledgement);
        if (await queue.AdmitAsync(queued, e.CancellationToken))
            e.Response.UserProperties = new HeldAcknowledgement(
                queued,
                code == MqttPubAckReasonCode.Success ? MqttPubAckReasonCode.PayloadFormatInvalid : code,
                limits.AnswerLimit,
                clock
            );
        else
            TurnAway(e);
    }

    /// <summary>
    /// Limits each connection to the announced number of unacknowledged messages. MQTT 3.1.1 devices do not know that
    /// number. A burst then waits in its own connection and never in front of the others.
    /// </summary>
    private static async Task EnterWindowAsync(InterceptingPublishEventArgs e, Task<AcknowledgeResult> acknowledgement)
    {
        if (e.SessionItems[Window] is not SemaphoreSlim window)
            return;
        await window.WaitAsync(e.CancellationToken);
        _ = acknowledgement.ContinueWith(_ => window.Release(), TaskScheduler.Default);
    }

    private void LogRejected(InterceptingPublishEventArgs e, string reason)
    {
        if (logThrottle.CountToLog(e.ClientId, reason) is > 0 and var times)
            log.PublishRejected(times, Printable(e.ClientId), Printable(e.ApplicationMessage.Topic ?? ""), reason);
    }

    /// <summary>Takes nothing more because the hub is stopping. The device sends the message again later.</summary>
    private void TurnAway(InterceptingPublishEventArgs e)
    {
        const string stopping = "The hub is stopping.";
        LogRejected(e, stopping);
        meter.NotCommitted();
        e.Response.ReasonCode = MqttPubAckReasonCode.UnspecifiedError;
        e.Response.ReasonString = stopping;
        // MQTT 3.1.1 has no reasons, and an acknowledgement would mean "stored". So the connection is closed instead.
        e.CloseConnection = !HasReasons(e.SessionItems);
    }

    private async Task InterceptOutboundAsync(InterceptingPacketEventArgs e)
    {
        switch (e.Packet)
        {
            case MqttConnAckPacket welcome:
                // The broker has no setting for these values. A device that speaks MQTT 5 keeps to them.
                welcome.ReceiveMaximum = limits.ReceiveMaximum;
                welcome.MaximumPacketSize = (uint)limits.PacketBytesMax;
                break;
            case MqttPubAckPacket { UserProperties: HeldAcknowledgement held }:
                await ReleaseAsync(held, e);
                break;
            case MqttPubRecPacket { UserProperties: HeldAcknowledgement held }:
                // Quality of service 2 is treated as at least once: a message that arrives twice is known by its
                // number.
                await ReleaseAsync(held, e);
                break;
        }
    }

    private async Task ReleaseAsync(HeldAcknowledgement held, InterceptingPacketEventArgs e)
    {
        var kind = await held.ReleaseAsync(e, HasReasons(e.SessionItems));
        if (kind == AcknowledgeKind.Committed)
            reconnects.Forget(e.ClientId);
        if (HasReasons(e.SessionItems) || kind is AcknowledgeKind.Committed or AcknowledgeKind.Rejected)
            return;
        if (kind == AcknowledgeKind.OverQuota)
            reconnects.Grow(e.ClientId);
        e.ProcessPacket = false;
        try
        {
            await server.DisconnectClientAsync(e.ClientId, new MqttServerClientDisconnectOptions());
        }
        catch (InvalidOperationException)
        {
            // The connection is gone already, as intended.
        }
    }

    private static bool HasReasons(System.Collections.IDictionary items) => items[ReadsReasons] is true;

    private static string Printable(string text) =>
        string.Concat(text.Take(80).Select(c => c is >= ' ' and <= '~' ? c : '?'));

    private static Task Sync(Action action)
    {
        action();
        return Task.CompletedTask;
    }
}
