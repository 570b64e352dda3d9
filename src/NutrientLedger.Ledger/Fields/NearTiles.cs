using NutrientLedger.Agronomy.Fields;

namespace NutrientLedger.Ledger;

/// <summary>The tiles a machine is at: a strip lies on four at most as a rule, and the next one nearly always on the same.</summary>
internal sealed class NearTiles(LedgerBook book)
{
    // Sixty-four cells a tile; shifting a negative row rounds down, as tiles are counted.
    private const int TileBits = 6;
    private const int TileMask = CoverageTile.Side - 1;

    // One place for each of the four ways in which a tile's row and column can be even or odd; all of one field and season.
    private readonly (int Row, int Column)[] places = new (int, int)[4];
    private readonly NotedVisits?[] tiles = new NotedVisits?[4];
    private string fieldId = "";
    private int season;

    /// <summary>Notes a visit to all cells of a strip.</summary>
    public void Visit(string fieldId, int season, Strip strip, long seconds)
    {
        if (season != this.season || fieldId != this.fieldId)
            Leave();
        (this.fieldId, this.season) = (fieldId, season);
        var second = CoverageTile.Second(seconds);
        while (strip.MoveNext())
        {
            var run = strip.Current;
            var tileRow = run.Row >> TileBits;
            for (var first = run.FirstColumn; first <= run.LastColumn; )
            {
                var tileColumn = first >> TileBits;
                var last = Math.Min(run.LastColumn, (tileColumn << TileBits) | TileMask);
                Tile(tileRow, tileColumn).Add(run.Row & TileMask, first & TileMask, last & TileMask, second);
                first = last + 1;
            }
        }
    }

    public void Leave() => Array.Clear(tiles);

    private NotedVisits Tile(int row, int column)
    {
        var place = ((row & 1) << 1) | (column & 1);
        if (tiles[place] is { } near && places[place] == (row, column))
            return near;
        places[place] = (row, column);
        return tiles[place] = book.Visits(new(fieldId, season, row, column));
    }
}
