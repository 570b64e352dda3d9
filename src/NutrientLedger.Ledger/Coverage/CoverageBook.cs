namespace NutrientLedger.Ledger.Coverage;

/// <summary>
/// Ground covered, while it is being posted: for each tile the visits as they were noted. Tiles that rest are evicted:
/// they are kept in the tile's stored form, which is smaller.
/// </summary>
internal sealed class CoverageBook
{
    // Tiles visited since the last rest, those visited before it, and those evicted.
    private Dictionary<TileKey, NotedVisits> visited = [];

    private Dictionary<TileKey, NotedVisits> resting = [];

    private Dictionary<TileKey, byte[]> putAway = [];

    // Where cells are filled in, one tile after another, so that they stay in the processor's cache.
    private CoverageTile? filled;

    /// <summary>How many tiles are not evicted.</summary>
    public int TilesOpen => visited.Count + resting.Count;

    /// <summary>How many bytes are noted of visits to tiles that were visited since the last rest.</summary>
    public long BytesNoted { get; internal set; }

    /// <summary>How many bytes the evicted tiles take.</summary>
    public long BytesPutAway { get; private set; }

    /// <summary>The tiles that were visited or evicted.</summary>
    public IEnumerable<TileKey> Keys => visited.Keys.Concat(resting.Keys).Concat(putAway.Keys);

    /// <summary>Where visits to a tile are noted.</summary>
    public NotedVisits Of(TileKey key)
    {
        if (visited.TryGetValue(key, out var visits))
            return visits;
        if (resting.Remove(key, out visits))
            BytesNoted += visits.Bytes;
        else
        {
            visits = new(this);
            if (putAway.Remove(key, out var stored))
            {
                visits.Add(stored);
                BytesPutAway -= stored.Length;
            }
        }
        return visited[key] = visits;
    }

    /// <summary>Evicts the tiles without a visit since the last call. A later visit takes a tile up again.</summary>
    public void Rest()
    {
        foreach (var (key, visits) in resting)
        {
            var stored = Filled(visits, Desk()).Encode();
            putAway.Add(key, stored);
            BytesPutAway += stored.Length;
        }
        resting.Clear();
        (resting, visited, BytesNoted) = (visited, resting, 0);
    }

    /// <summary>Takes out the evicted tiles.</summary>
    public Dictionary<TileKey, byte[]> TakeRested()
    {
        var taken = putAway;
        (putAway, BytesPutAway) = ([], 0);
        return taken;
    }

    private CoverageTile Desk()
    {
        if (filled is null)
            return filled = new();
        filled.Clear();
        return filled;
    }

    private static CoverageTile Filled(NotedVisits visits, CoverageTile tile)
    {
        visits.To(tile);
        return tile;
    }
}
