using System.Numerics;

namespace NutrientLedger.Ledger.Coverage;

/// <summary>
/// The visits of all applicators and days to one place. It says which cells were covered, and which were overlapped:
/// visited again before the ground rested.
/// </summary>
internal sealed class PlaceVisits(IReadOnlyCollection<KeyValuePair<TileKey, byte[]>> tiles)
{
    // Once nobody visits a cell for so long, the next visit is another application. Common practice, no source.
    private const long PauseSeconds = 72 * 3600;

    private readonly (TileKey Key, CoverageTile Tile)[] tiles =
    [
        .. tiles.Select(tile => (tile.Key, CoverageTile.Decode(tile.Value))),
    ];

    // Used again for each cell.
    private readonly Visits[] ordered = new Visits[tiles.Count];

    /// <summary>The covered and the overlapped cells of a row, a bit each, column 0 lowest.</summary>
    public (ulong Covered, ulong Overlapped) CellsIn(int row)
    {
        var (covered, again, overlapped) = (0ul, 0ul, 0ul);
        foreach (var (_, tile) in tiles)
        {
            var visited = tile.VisitedIn(row);
            again |= covered & visited;
            covered |= visited;
            overlapped |= tile.OverlappedIn(row);
        }
        // Of a cell with visits in several tiles, no tile alone can say that it is not overlapped.
        for (var open = again & ~overlapped; open != 0; open &= open - 1)
        {
            var column = BitOperations.TrailingZeroCount(open);
            overlapped |= IsOverlapped((row * CoverageTile.Side) + column) ? 1ul << column : 0;
        }
        return (covered, overlapped);
    }

    private bool IsOverlapped(int cell)
    {
        var (applicatorId, first, last) = ("", 0L, long.MinValue / 2);
        foreach (var next in VisitsTo(cell))
        {
            if (next.First - last >= PauseSeconds)
                (applicatorId, first, last) = next;
            last = Math.Max(last, next.Last);
            if (next.ApplicatorId != applicatorId || last - first > CoverageTile.OverlapSeconds)
                return true;
        }
        return false;
    }

    /// <summary>The visits of each applicator and day to a cell, by the first of them.</summary>
    private ReadOnlySpan<Visits> VisitsTo(int cell)
    {
        var count = 0;
        foreach (var (key, tile) in tiles)
        {
            if (tile.First[cell] == 0)
                continue;
            var visits = new Visits(key.ApplicatorId, Seconds(key, tile.First[cell]), Seconds(key, tile.Last[cell]));
            var place = count++;
            for (; place > 0 && ordered[place - 1].First > visits.First; place--)
                ordered[place] = ordered[place - 1];
            ordered[place] = visits;
        }
        return ordered.AsSpan(0, count);
    }

    /// <summary>When a step of a tile's day begins, in Unix seconds.</summary>
    private static long Seconds(TileKey key, ushort step) =>
        key.DayStartSeconds + ((step - 1L) * CoverageTile.StepSeconds);

    /// <summary>The first and last visit of an applicator on a day, in Unix seconds.</summary>
    private readonly record struct Visits(string ApplicatorId, long First, long Last);
}
