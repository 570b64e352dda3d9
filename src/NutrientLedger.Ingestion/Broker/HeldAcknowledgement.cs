using MQTTnet.Packets;
using MQTTnet.Protocol;
using MQTTnet.Server;
using NutrientLedger.Ingestion.Queueing;

namespace NutrientLedger.Ingestion.Broker;

/// <summary>
/// An acknowledgement that waits for the verdict on its message. It travels as the (empty) user properties of the answer to
/// a publish, which the broker hands on, the object itself, to the acknowledgement packet it makes of it. So each packet
/// knows its own message: there is nothing to look up, and nothing to confuse when a device reconnects and counts anew.
/// </summary>
internal sealed class HeldAcknowledgement(Task<AcknowledgeResult> acknowledgement) : List<MqttUserProperty>
{
    /// <summary>
    /// Waits for the verdict and writes it into the acknowledgement. A device that speaks MQTT 3.1.1 cannot read a reason:
    /// it is acknowledged when the message was kept, and false is answered when it must see its line closed instead.
    /// </summary>
    public async Task<bool> ReleaseAsync(InterceptingPacketEventArgs e, bool readsReasons)
    {
        // The token is cancelled with the line; the packet is then not sent, and the device sends its message again.
        var result = await acknowledgement.WaitAsync(e.CancellationToken);
        if (!readsReasons)
            return result.Kind != AcknowledgeKind.NotCommitted;
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
        return true;
    }

    private static MqttPubAckReasonCode Code(AcknowledgeKind kind) =>
        kind switch
        {
            AcknowledgeKind.Committed => MqttPubAckReasonCode.Success,
            AcknowledgeKind.Rejected => MqttPubAckReasonCode.PayloadFormatInvalid,
            _ => MqttPubAckReasonCode.UnspecifiedError,
        };

    private static string? Text(AcknowledgeResult result) =>
        result.Kind switch
        {
            AcknowledgeKind.Committed => null,
            AcknowledgeKind.Rejected => result.Reason,
            _ => "Not stored; send it again later.",
        };
}
