using MQTTnet.Protocol;
using NutrientLedger.Journal;

namespace NutrientLedger.Ingestion.Broker;

/// <summary>Where a published message goes.</summary>
internal enum PublishRoute
{
    /// <summary>To the journal.</summary>
    Telemetry,

    /// <summary>A device's description or presence: to all subscribers, and kept if retained.</summary>
    Notice,

    /// <summary>To the rejected messages.</summary>
    Rejected,
}

/// <summary>Which topics the broker accepts, and why not the others.</summary>
internal static class PublishRules
{
    private const int TopicLengthMax = 256;
    private const int NoticeBytesMax = 4096;

    public static (PublishRoute Route, MqttPubAckReasonCode Code, string Reason) Of(string topic, long payloadBytes)
    {
        // The broker turns bytes that are not UTF-8 into U+FFFD. Neither they nor U+0000 may reach the database.
        if (topic.Length > TopicLengthMax || topic.Any(c => char.IsControl(c) || c is '\uFFFD' or '+' or '#'))
            return Rejected(
                MqttPubAckReasonCode.TopicNameInvalid,
                "The topic has over 256 characters, or characters that a topic cannot have."
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
                : Rejected(
                    MqttPubAckReasonCode.QuotaExceeded,
                    $"A message of about or online may have at most {NoticeBytesMax} bytes."
                ),
            _ => Rejected(
                MqttPubAckReasonCode.TopicNameInvalid,
                "The topic is none of the hub's. Publish on agri/v1/{farm}/{device}/ and spread, store, weather, about or online."
            ),
        };
    }

    /// <summary>
    /// Clients may subscribe to notices and acknowledgement watermarks. Telemetry is read from the journal instead.
    /// </summary>
    public static bool MaySubscribe(string filter) =>
        filter.Length <= TopicLengthMax && filter.Split('/') is ["agri", "v1", _, _, "about" or "online" or "stored"];

    private static (PublishRoute, MqttPubAckReasonCode, string) Rejected(MqttPubAckReasonCode code, string reason) =>
        (PublishRoute.Rejected, code, reason);
}
