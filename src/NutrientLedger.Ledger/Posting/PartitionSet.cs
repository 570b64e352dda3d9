namespace NutrientLedger.Ledger.Posting;

/// <summary>The part of a farm's ledger that holds one season's work of one applicator.</summary>
public readonly record struct Partition(int Season, string ApplicatorId);

/// <summary>Seasons of one applicator, both ends included, or of all applicators when none is named.</summary>
public readonly record struct SeasonsOf(string? ApplicatorId, int First, int Last)
{
    public bool Hold(int season, string applicatorId) =>
        season >= First && season <= Last && (ApplicatorId is null || ApplicatorId == applicatorId);

    internal bool Hold(SeasonsOf other) =>
        First <= other.First && Last >= other.Last && (ApplicatorId is null || ApplicatorId == other.ApplicatorId);
}

/// <summary>Seasons from one to another, both included.</summary>
public readonly record struct SeasonRange(int First, int Last)
{
    public static readonly SeasonRange All = new(int.MinValue, int.MaxValue);

    public static SeasonRange Only(int season) => new(season, season);
}

/// <summary>
/// Partitions that are posted together, and whether the levels of all pits are too. A rebuild is the posting of one
/// such set from the journal.
/// </summary>
public sealed class PartitionSet(IEnumerable<SeasonsOf> seasons, bool levels)
{
    private readonly SeasonsOf[] seasons = [.. seasons.Distinct()];

    public static readonly PartitionSet Everything = new([new(null, int.MinValue, int.MaxValue)], levels: true);

    /// <summary>Every applicator's work in some seasons, without levels.</summary>
    public static PartitionSet Of(SeasonRange seasons) => new([new(null, seasons.First, seasons.Last)], levels: false);

    public IReadOnlyList<SeasonsOf> Seasons => seasons;

    /// <summary>From the first season of any applicator to the last one.</summary>
    public SeasonRange Range =>
        seasons.Length == 0
            ? new(int.MaxValue, int.MinValue)
            : new(seasons.Min(some => some.First), seasons.Max(some => some.Last));

    public bool Levels => levels;

    public bool Holds(Partition partition) => Holds(partition.Season, partition.ApplicatorId);

    public bool Holds(int season, string applicatorId)
    {
        foreach (var some in seasons)
            if (some.Hold(season, applicatorId))
                return true;
        return false;
    }

    /// <summary>Whether any season of an applicator is in the set.</summary>
    public bool HoldsAny(string applicatorId) =>
        Array.Exists(seasons, some => some.ApplicatorId is null || some.ApplicatorId == applicatorId);

    /// <summary>Whether everything of another set is in this one.</summary>
    public bool Holds(PartitionSet other) =>
        (levels || !other.Levels) && other.seasons.All(theirs => seasons.Any(ours => ours.Hold(theirs)));
}
