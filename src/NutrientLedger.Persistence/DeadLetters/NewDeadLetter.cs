using NutrientLedger.Journal;
using NutrientLedger.Persistence.Messages;

namespace NutrientLedger.Persistence.DeadLetters;

/// <summary>A refused message that is not in the list yet, with what its topic says about where it comes from.</summary>
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

    /// <summary>Whose limit it counts against: a known farm's, or "", the one that all others share.</summary>
    public string Quota => Farm is { } farm && KnownFarms.Contains(farm) ? farm : "";

    /// <summary>Who counts as one device within the budget; a topic that cannot be taken apart stands for itself.</summary>
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
