using NutrientLedger.Journal;

namespace NutrientLedger.Store;

/// <summary>A refused message that is not in the list yet, with what its topic says about where it comes from.</summary>
internal sealed record FreshRefusal(string Fingerprint, RefusedMessage Message, int Times, HashSet<string> KnownFarms)
{
    public string? Farm => LevelsOf(Message.Topic).Farm;

    public string? Equipment => LevelsOf(Message.Topic).Equipment;

    public string? Stream => LevelsOf(Message.Topic).Stream;

    /// <summary>Whose limit it counts against: a known farm's, or "", the one that all others share.</summary>
    public string Budget => Farm is { } farm && KnownFarms.Contains(farm) ? farm : "";

    /// <summary>Who counts as one device within the budget; a topic that cannot be taken apart stands for itself.</summary>
    public string Sender =>
        Equipment is not { } equipment ? RefusedRows.Storable(Message.Topic)
        : Budget.Length > 0 ? equipment
        : $"{Farm}/{equipment}";

    /// <summary>The parts of a topic agri/v1/{farm}/{equipment}/{stream}, as far as it is one.</summary>
    public static (string? Farm, string? Equipment, string? Stream) LevelsOf(string topic) =>
        topic.Split('/') is ["agri", "v1", var farm, var equipment, var stream]
        && stream is ("spread" or "store" or "weather")
        && GivenId.IsOne(farm)
        && GivenId.IsOne(equipment)
            ? (farm, equipment, stream)
            : default;
}
