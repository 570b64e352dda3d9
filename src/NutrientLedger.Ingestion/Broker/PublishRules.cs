using MQTTnet.Protocol;
using NutrientLedger.Journal;

namespace NutrientLedger.Ingestion.Broker;

/// <summary>Where a published message goes.</summary>
internal enum PublishRoute
{
    /// <summary>To the journal.</summary>
    Telemetry,

    /// <summary>A device's description of itself or its presence: to whoever has subscribed, and kept if retained.</summary>
    Notice,

    /// <summary>Nowhere.</summary>
    Rejected,
}

/// <summary>Which topics the broker takes, and why not the others.</summary>
internal static class PublishRules
{
    private const int TopicLengthMax = 256;
    private const int NoticeBytesMax = 4096;

    public static (PublishRoute Route, MqttPubAckReasonCode Code, string Reason) Of(string topic, long payloadBytes)
    {
        // Bytes that are no UTF-8 come out of the broker as U+FFFD; neither they nor U+0000 must reach the database.
        if (topic.Length > TopicLengthMax || topic.Any(c => char.IsControl(c) || c is '\uFFFD' or '+' or '#'))
            return Rejected(
                MqttPubAckReasonCode.TopicNameInvalid,
                "the topic is too long or has characters that a topic cannot have"
            );
        return topic.Split('/') switch
        {
            ["agri", "v1", _, _, "spread" or "store" or "weather"] => (
                PublishRoute.Telemetry,
                MqttPubAckReasonCode.Success,
                ""
            ),
            ["agri", "v1", var farm, var equipment, "about" or "online"]
                when GivenId.IsValid(farm) && GivenId.IsValid(equipment) => payloadBytes <= NoticeBytesMax
                ? (PublishRoute.Notice, MqttPubAckReasonCode.Success, "")
                : Rejected(MqttPubAckReasonCode.QuotaExceeded, $"about and online take at most {NoticeBytesMax} bytes"),
            _ => Rejected(
                MqttPubAckReasonCode.TopicNameInvalid,
                "publish on agri/v1/{farm}/{device}/ spread, store, weather, about or online"
            ),
        };
    }

    /// <summary>Notices and stored marks may be subscribed to; telemetry is asked for from the journal, not overheard.</summary>
    public static bool MaySubscribe(string filter) =>
        filter.Length <= TopicLengthMax && filter.Split('/') is ["agri", "v1", _, _, "about" or "online" or "stored"];

    private static (PublishRoute, MqttPubAckReasonCode, string) Rejected(MqttPubAckReasonCode code, string reason) =>
        (PublishRoute.Rejected, code, reason);
}
