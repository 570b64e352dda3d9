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
    public string? Farm => TopicPartsOf(Message.Topic).Farm;

    public string? Equipment => TopicPartsOf(Message.Topic).Equipment;

    public string? Stream => TopicPartsOf(Message.Topic).Stream;

    /// <summary>The quota it counts against: that of a known farm, or "", which all others share.</summary>
    public string Quota => Farm is { } farm && KnownFarms.Contains(farm) ? farm : "";

    /// <summary>
    /// What counts as one device within the quota. A topic that cannot be taken apart stands for itself.
    /// </summary>
    public string Device =>
        Equipment is not { } equipment ? DeadLetterRows.Storable(Message.Topic)
        : Quota.Length > 0 ? equipment
        : $"{Farm}/{equipment}";

    /// <summary>The parts of a topic agri/v1/{farm}/{equipment}/{stream}, as far as it is one.</summary>
    public static (string? Farm, string? Equipment, string? Stream) TopicPartsOf(string topic) =>
        topic.Split('/') is ["agri", "v1", var farm, var equipment, var stream]
        && stream is ("spread" or "store" or "weather")
        && GivenId.IsValid(farm)
        && GivenId.IsValid(equipment)
            ? (farm, equipment, stream)
            : default;
}
