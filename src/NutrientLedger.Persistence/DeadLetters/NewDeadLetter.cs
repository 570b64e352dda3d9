using System.Security.Cryptography;
using System.Text;
using NutrientLedger.Journal;
using NutrientLedger.Persistence.Messages;

namespace NutrientLedger.Persistence.DeadLetters;

/// <summary>
/// A rejected message that is not in the list yet, with the origin that its topic names. The quota it counts against is
/// that of a known farm, "" for all others that cannot be read, or that of sound messages, by what they wait for.
/// </summary>
internal sealed record NewDeadLetter(string Fingerprint, RejectedMessage Message, int Occurrences, string Quota)
{
    /// <summary>The quota of sound messages that wait for the import of their farm. No farm can have this id.</summary>
    public const string WaitingForFarm = "waiting for a farm";

    /// <summary>
    /// That of messages whose numbers are known with other readings. New readings of their devices wait too.
    /// </summary>
    public const string WaitingForDecision = "waiting for a decision";

    /// <summary>That of messages which came after those, and of all of a device once its decision is made.</summary>
    public const string WaitingForRetry = "waiting for a retry";

    /// <summary>The quotas of sound messages. They share their limits.</summary>
    public static readonly string[] Waiting = [WaitingForFarm, WaitingForDecision, WaitingForRetry];

    private const int DeviceLengthMax = 256;

    public string? Farm => TopicPartsOf(Message.Topic).Farm;

    public string? Equipment => TopicPartsOf(Message.Topic).Equipment;

    public string? Stream => TopicPartsOf(Message.Topic).Stream;

    /// <summary>
    /// What counts as one device within the quota. A topic that cannot be taken apart stands for itself, with its first
    /// characters: an index cannot hold all that a topic may have.
    /// </summary>
    public string Device =>
        Equipment is not { } equipment ? DeadLetterRows.Storable(Beginning(Message.Topic))
        : Quota == Farm ? equipment
        : DeviceOf(Farm!, equipment);

    /// <summary>The quota of sound messages that wait for something.</summary>
    public static string QuotaOf(WaitingFor what) =>
        what switch
        {
            WaitingFor.Farm => WaitingForFarm,
            WaitingFor.Decision => WaitingForDecision,
            _ => WaitingForRetry,
        };

    /// <summary>What counts as one device among sound messages.</summary>
    public static string DeviceOf(string farmId, string equipmentId) => $"{farmId}/{equipmentId}";

    /// <summary>The same bytes from the same topic are the same message, however often they come.</summary>
    public static string FingerprintOf(RejectedMessage message) =>
        Convert.ToHexString(
            SHA256.HashData([
                .. Encoding.UTF8.GetBytes($"{DeadLetterRows.Storable(message.Topic)}\0{message.ContentType}\0"),
                .. message.Payload.Span,
                .. Encoding.UTF8.GetBytes(message.Whole?.Sha256 ?? ""),
            ])
        );

    private static string Beginning(string topic) =>
        topic.Length <= DeviceLengthMax ? topic
        : char.IsHighSurrogate(topic[DeviceLengthMax - 1]) ? topic[..(DeviceLengthMax - 1)]
        : topic[..DeviceLengthMax];

    /// <summary>The parts of a topic agri/v1/{farm}/{equipment}/{stream}, as far as it is one.</summary>
    public static (string? Farm, string? Equipment, string? Stream) TopicPartsOf(string topic) =>
        topic.Split('/') is ["agri", "v1", var farm, var equipment, var stream]
        && stream is ("spread" or "store" or "weather")
        && GivenId.IsValid(farm)
        && GivenId.IsValid(equipment)
            ? (farm, equipment, stream)
            : default;
}
