using MQTTnet.Packets;
using MQTTnet.Protocol;
using MQTTnet.Server;

namespace NutrientLedger.Intake.Broker;

/// <summary>
/// An acknowledgement that waits for the verdict on its message. It travels as the (empty) user properties of the answer to
/// a publish, which the broker hands on, the object itself, to the acknowledgement packet it makes of it. So each packet
/// knows its own message: there is nothing to look up, and nothing to confuse when a device reconnects and counts anew.
/// </summary>
internal sealed class HeldAcknowledgement(Task<Verdict> verdict) : List<MqttUserProperty>
{
    /// <summary>
    /// Waits for the verdict and writes it into the acknowledgement. A device that speaks MQTT 3.1.1 cannot read a reason:
    /// it is acknowledged when the message was kept, and false is answered when it must see its line closed instead.
    /// </summary>
    public async Task<bool> ReleaseAsync(InterceptingPacketEventArgs e, bool readsReasons)
    {
        // The token is cancelled with the line; the packet is then not sent, and the device sends its message again.
        var decided = await verdict.WaitAsync(e.CancellationToken);
        if (!readsReasons)
            return decided.Kind != VerdictKind.NotCommitted;
        switch (e.Packet)
        {
            case MqttPubAckPacket ack:
                ack.ReasonCode = Code(decided.Kind);
                ack.ReasonString = Text(decided);
                break;
            case MqttPubRecPacket received:
                received.ReasonCode = (MqttPubRecReasonCode)Code(decided.Kind);
                received.ReasonString = Text(decided);
                break;
        }
        return true;
    }

    private static MqttPubAckReasonCode Code(VerdictKind kind) =>
        kind switch
        {
            VerdictKind.Committed => MqttPubAckReasonCode.Success,
            VerdictKind.Refused => MqttPubAckReasonCode.PayloadFormatInvalid,
            _ => MqttPubAckReasonCode.UnspecifiedError,
        };

    private static string? Text(Verdict decided) =>
        decided.Kind switch
        {
            VerdictKind.Committed => null,
            VerdictKind.Refused => decided.Reason,
            _ => "Not stored; send it again later.",
        };
}
