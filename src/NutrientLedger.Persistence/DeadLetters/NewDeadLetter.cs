using NutrientLedger.Journal;
using NutrientLedger.Persistence.Messages;

namespace NutrientLedger.Persistence.DeadLetters;

/// <summary>A rejected message that is not in the list yet, with the origin that its topic names.</summary>
internal sealed record NewDeadLetter(
    string Fingerprint,
    RejectedMessage Message,
    int Occurrences,
    HashSet<string> KnownFarms
)
{
    private const int DeviceLengthMax = 256;

    public string? Farm => TopicPartsOf(Message.Topic).Farm;

    public string? Equipment => TopicPartsOf(Message.Topic).Equipment;

    public string? Stream => TopicPartsOf(Message.Topic).Stream;

    /// <summary>The quota it counts against: that of a known farm, or "", which all others share.</summary>
    public string Quota => Farm is { } farm && KnownFarms.Contains(farm) ? farm : "";

    /// <summary>
    /// What counts as one device within the quota. A topic that cannot be taken apart stands for itself, with its first
    /// characters: an index cannot hold all that a topic may have.
    /// </summary>
    public string Device =>
        Equipment is not { } equipment ? DeadLetterRows.Storable(Beginning(Message.Topic))
        : Quota.Length > 0 ? equipment
        : $"{Farm}/{equipment}";

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
