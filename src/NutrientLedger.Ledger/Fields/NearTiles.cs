using NutrientLedger.Agronomy.Fields;

namespace NutrientLedger.Ledger;

/// <summary>The tiles a machine is at: a strip lies on four at most as a rule, and the next one nearly always on the same.</summary>
internal sealed class NearTiles(LedgerBook book)
{
    // Sixty-four cells a tile; shifting a negative row rounds down, as tiles are counted.
    private const int TileBits = 6;
    private const int TileMask = CoverageTile.Side - 1;

    // One place for each of the four ways in which a tile's row and column can be even or odd.
    private readonly TileKey[] keys = new TileKey[4];
    private readonly CoverageTile?[] tiles = new CoverageTile?[4];

    /// <summary>Notes a visit to all cells of a strip.</summary>
    public void Visit(string fieldId, int season, Strip strip, long seconds)
    {
        foreach (var run in strip)
        {
            var tileRow = run.Row >> TileBits;
            for (var first = run.FirstColumn; first <= run.LastColumn; )
            {
                var tileColumn = first >> TileBits;
                var last = Math.Min(run.LastColumn, (tileColumn << TileBits) | TileMask);
                Tile(new(fieldId, season, tileRow, tileColumn))
                    .Visit(run.Row & TileMask, first & TileMask, last & TileMask, seconds);
                first = last + 1;
            }
        }
    }

    public void Leave() => Array.Clear(tiles);

    private CoverageTile Tile(in TileKey key)
    {
        var place = ((key.TileRow & 1) << 1) | (key.TileColumn & 1);
        if (tiles[place] is { } near && keys[place] == key)
            return near;
        keys[place] = key;
        return tiles[place] = book.Tile(key);
    }
}
