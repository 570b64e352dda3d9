using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Ledger.Coverage;

namespace NutrientLedger.Ledger.Posting;

/// <summary>
/// The tiles a machine is at. A swath lies on four at most as a rule, and the next one nearly always on the same.
/// </summary>
internal sealed class NearTiles(LedgerAccumulator accumulator, string applicatorId)
{
    // Sixty-four cells a tile. Shifting a negative row rounds down, as tiles are counted.
    private const int TileBits = 6;
    private const int TileMask = CoverageTile.Side - 1;

    // One slot for each of the four ways in which a tile's row and column can be even or odd. All are of one field,
    // season and farm day.
    private readonly (int Row, int Column)[] places = new (int, int)[4];
    private readonly NotedVisits?[] tiles = new NotedVisits?[4];
    private string fieldId = "";
    private int season;
    private long dayStartSeconds;

    /// <summary>Notes a visit to all cells of a swath, at a moment in Unix seconds.</summary>
    public void Visit(string fieldId, PostingContext context, Swath swath, long seconds)
    {
        if (context.DayStartSeconds != dayStartSeconds || context.Season != season || fieldId != this.fieldId)
            Leave();
        (this.fieldId, season, dayStartSeconds) = (fieldId, context.Season, context.DayStartSeconds);
        var step = CoverageTile.Step(seconds, dayStartSeconds);
        while (swath.MoveNext())
        {
            var cells = swath.Current;
            var tileRow = cells.Row >> TileBits;
            for (var first = cells.FirstColumn; first <= cells.LastColumn; )
            {
                var tileColumn = first >> TileBits;
                var last = Math.Min(cells.LastColumn, (tileColumn << TileBits) | TileMask);
                Tile(tileRow, tileColumn).Add(cells.Row & TileMask, first & TileMask, last & TileMask, step);
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
        return tiles[place] = accumulator.Visits(new(fieldId, season, applicatorId, dayStartSeconds, row, column));
    }
}
