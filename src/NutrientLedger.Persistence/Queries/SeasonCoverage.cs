using Npgsql;
using NutrientLedger.Ledger.Coverage;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.ReadModel;

namespace NutrientLedger.Persistence.Queries;

/// <summary>The tiles of a farm's season at a position, and what they cover. It never changes.</summary>
internal sealed class SeasonCoverage
{
    private readonly Dictionary<Partition, int> generations;
    private readonly Dictionary<TileKey, byte[]> tiles;
    private readonly Dictionary<TilePlace, TileCounts> counts;

    public static readonly SeasonCoverage Nothing = new(0, [], [], []);

    private SeasonCoverage(
        long position,
        Dictionary<Partition, int> generations,
        Dictionary<TileKey, byte[]> tiles,
        Dictionary<TilePlace, TileCounts> counts
    )
    {
        (Position, this.generations, this.tiles, this.counts) = (position, generations, tiles, counts);
        Rows = CoverageRows.Of(counts.Values);
    }

    /// <summary>The position up to which batches are counted.</summary>
    public long Position { get; }

    /// <summary>Covered and overlapped cells of each field.</summary>
    public IReadOnlyList<CoverageRows> Rows { get; }

    /// <summary>Whether it is of a position and of these generations.</summary>
    public bool IsOf(long position, Dictionary<Partition, int> partitions) =>
        position == Position
        && partitions.Count == generations.Count
        && partitions.All(it => generations.GetValueOrDefault(it.Key) == it.Value);

    /// <summary>The same season as it is posted now. Only what changed is read and counted.</summary>
    public async Task<SeasonCoverage> NextAsync(
        NpgsqlConnection connection,
        PostedFarm farm,
        Dictionary<Partition, int> partitions,
        CancellationToken cancellationToken
    )
    {
        bool IsKnown(TileKey key) => IsKnownIn(new(key.Season, key.ApplicatorId));
        bool IsKnownIn(Partition partition) =>
            partitions.TryGetValue(partition, out var generation)
            && generations.GetValueOrDefault(partition) == generation;
        var next = tiles.Where(tile => IsKnown(tile.Key)).ToDictionary();
        var changed = tiles.Keys.Where(key => !IsKnown(key)).Select(key => key.Place).ToHashSet();
        await TileRows.ReadNewerAsync(
            connection,
            farm.FarmId,
            [.. partitions.Select(it => (it.Key, it.Value, IsKnownIn(it.Key) ? Position : -1))],
            (key, visits) =>
            {
                next[key] = visits;
                changed.Add(key.Place);
            },
            cancellationToken
        );
        var counted = counts.Where(place => !changed.Contains(place.Key)).ToDictionary();
        foreach (var place in next.Where(tile => changed.Contains(tile.Key.Place)).GroupBy(tile => tile.Key.Place))
            counted.Add(place.Key, TileCounts.Of(place.Key, [.. place]));
        return new(farm.Position, partitions, next, counted);
    }
}
