using NutrientLedger.Ledger.Coverage;
using NutrientLedger.Ledger.Levels;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Ledger.Posting;

/// <summary>
/// A posted ledger, or a part of one. Lines and levels add up. Tiles hold visits in their stored form.
/// </summary>
public sealed record LedgerAddition(
    IReadOnlyDictionary<LineKey, LineAmounts> Lines,
    IReadOnlyDictionary<TileKey, byte[]> Tiles,
    IReadOnlyDictionary<LevelKey, LevelHour> Levels
)
{
    public static readonly LedgerAddition None = Together([]);

    /// <summary>The batches that could not be posted.</summary>
    public IReadOnlyList<UnpostedBatch> Unposted { get; init; } = [];

    /// <summary>The partitions with lines or tiles.</summary>
    public IEnumerable<Partition> Partitions =>
        Lines
            .Keys.Select(key => new Partition(key.Season, key.ApplicatorId))
            .Concat(Tiles.Keys.Select(key => new Partition(key.Season, key.ApplicatorId)))
            .Distinct();

    /// <summary>Covered and overlapped cells of each field and season.</summary>
    public IReadOnlyList<CoverageRows> Coverage() => CoverageRows.Of(Tiles);

    /// <summary>Parts of a ledger added up, in any order.</summary>
    public static LedgerAddition Together(IEnumerable<LedgerAddition> parts)
    {
        var lines = new Dictionary<LineKey, LineAmounts>();
        var tiles = new Dictionary<TileKey, byte[]>();
        var levels = new Dictionary<LevelKey, LevelHour>();
        var unposted = new HashSet<UnpostedBatch>();
        foreach (var part in parts)
        {
            unposted.UnionWith(part.Unposted);
            foreach (var (key, amounts) in part.Lines)
                lines[key] = lines.TryGetValue(key, out var before) ? before + amounts : amounts;
            foreach (var (key, visits) in part.Tiles)
                tiles[key] = tiles.TryGetValue(key, out var before) ? CoverageTile.Together(before, visits) : visits;
            foreach (var (key, hour) in part.Levels)
                levels[key] = levels.TryGetValue(key, out var before) ? before.Merge(hour) : hour;
        }
        return new(lines, tiles, levels) { Unposted = [.. unposted] };
    }

    /// <summary>What lies outside some partitions.</summary>
    public LedgerAddition Without(PartitionSet partitions) =>
        new(
            Lines.Where(line => !partitions.Holds(line.Key.Season, line.Key.ApplicatorId)).ToDictionary(),
            Tiles.Where(tile => !partitions.Holds(tile.Key.Season, tile.Key.ApplicatorId)).ToDictionary(),
            partitions.Levels ? new Dictionary<LevelKey, LevelHour>() : Levels
        )
        {
            Unposted = [.. Unposted.Where(batch => !partitions.HoldsAny(batch.EquipmentId))],
        };
}
