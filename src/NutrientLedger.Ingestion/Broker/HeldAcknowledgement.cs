using MQTTnet.Packets;
using MQTTnet.Protocol;
using MQTTnet.Server;
using NutrientLedger.Ingestion.Queueing;

namespace NutrientLedger.Ingestion.Broker;

/// <summary>
/// An acknowledgement that waits for the result of its message. It travels as the (empty) user properties of the
/// publish response. The broker hands that same object on to the acknowledgement packet. So each packet knows its own
/// message, even when a device reconnects and its packet numbers start again.
/// </summary>
/// <param name="message">The message.</param>
/// <param name="rejected">The reason code when the message is rejected.</param>
/// <param name="limit">How long after its arrival the sender waits for a result at most.</param>
/// <param name="clock">The time.</param>
internal sealed class HeldAcknowledgement(
    QueuedMessage message,
    MqttPubAckReasonCode rejected,
    TimeSpan limit,
    TimeProvider clock
) : List<MqttUserProperty>
{
    /// <summary>
    /// Waits for the result and writes it into the acknowledgement, if the device can read it. An MQTT 3.1.1 device
    /// cannot. Its packet is only for a message that was committed or kept.
    /// </summary>
    public async Task<AcknowledgeKind> ReleaseAsync(InterceptingPacketEventArgs e, bool readsReasons)
    {
        // Closing the connection cancels the token. The packet is then not sent, and the device sends its message
        // again.
        var result = await ResultAsync(e.CancellationToken);
        if (!readsReasons)
            return result.Kind;
        switch (e.Packet)
        {
            case MqttPubAckPacket ack:
                ack.ReasonCode = Code(result.Kind);
                ack.ReasonString = Text(result);
                break;
            case MqttPubRecPacket received:
                received.ReasonCode = (MqttPubRecReasonCode)Code(result.Kind);
                received.ReasonString = Text(result);
                break;
        }
        return result.Kind;
    }

    /// <summary>
    /// The result, or "not committed" once the limit has passed. The message may be committed after all. Sent again, it
    /// is known by its numbers.
    /// </summary>
    private async Task<AcknowledgeResult> ResultAsync(CancellationToken cancellationToken)
    {
        var remaining = limit - clock.GetElapsedTime(message.ArrivedAt);
        try
        {
            return await message.Acknowledgement.WaitAsync(
                remaining > TimeSpan.Zero ? remaining : TimeSpan.Zero,
                clock,
                cancellationToken
            );
        }
        catch (TimeoutException)
        {
            return new(AcknowledgeKind.NotCommitted);
        }
    }

    private MqttPubAckReasonCode Code(AcknowledgeKind kind) =>
        kind switch
        {
            AcknowledgeKind.Committed => MqttPubAckReasonCode.Success,
            AcknowledgeKind.Rejected => rejected,
            AcknowledgeKind.OverQuota => MqttPubAckReasonCode.QuotaExceeded,
            _ => MqttPubAckReasonCode.UnspecifiedError,
        };

    private static string? Text(AcknowledgeResult result) =>
        result.Kind switch
        {
            AcknowledgeKind.Committed => null,
            AcknowledgeKind.Rejected or AcknowledgeKind.OverQuota => result.Reason,
            _ => "Not stored; send it again later.",
        };
}
