using System.Numerics;

namespace NutrientLedger.Ledger.Coverage;

/// <summary>
/// The covered and overlapped cells in each of the 64 rows of a place, over all applicators and days.
/// </summary>
public readonly record struct TileCounts(TilePlace Place, byte[] Covered, byte[] Overlapped)
{
    /// <summary>
    /// Counts the cells of a place from all its stored tiles. A <see cref="FormatException"/> says what is wrong with
    /// damaged ones.
    /// </summary>
    public static TileCounts Of(TilePlace place, IReadOnlyCollection<KeyValuePair<TileKey, byte[]>> tiles)
    {
        var visits = new PlaceVisits(tiles);
        var counts = new TileCounts(place, new byte[CoverageTile.Side], new byte[CoverageTile.Side]);
        for (var row = 0; row < CoverageTile.Side; row++)
        {
            var (covered, overlapped) = visits.CellsIn(row);
            counts.Covered[row] = (byte)BitOperations.PopCount(covered);
            counts.Overlapped[row] = (byte)BitOperations.PopCount(overlapped);
        }
        return counts;
    }
}
