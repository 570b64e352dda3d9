using NutrientLedger.Agronomy.Fields;

namespace NutrientLedger.Ledger.Coverage;

/// <summary>
/// Covered and overlapped cells of a field and season, by grid row. Areas follow from the farm's grid.
/// </summary>
public sealed record CoverageRows(
    string FieldId,
    int Season,
    IReadOnlyDictionary<int, (int Covered, int Overlapped)> Rows
)
{
    /// <summary>The rows of each field and season that tiles touch, from the counts at each place.</summary>
    public static IReadOnlyList<CoverageRows> Of(IEnumerable<TileCounts> tiles) =>
        [
            .. tiles
                .GroupBy(tile => (tile.Place.FieldId, tile.Place.Season))
                .Select(place => new CoverageRows(place.Key.FieldId, place.Key.Season, RowsOf(place))),
        ];

    /// <summary>
    /// The rows of each field and season that stored tiles touch. All tiles of a place are needed at once.
    /// </summary>
    public static IReadOnlyList<CoverageRows> Of(IEnumerable<KeyValuePair<TileKey, byte[]>> tiles) =>
        Of(tiles.GroupBy(tile => tile.Key.Place).Select(place => TileCounts.Of(place.Key, [.. place])));

    public double CoveredSquareMetres(CoverageGrid grid) => Area(grid, row => row.Covered);

    public double OverlappedSquareMetres(CoverageGrid grid) => Area(grid, row => row.Overlapped);

    // From south to north, so that the same cells give the same sum to the last bit.
    private double Area(CoverageGrid grid, Func<(int Covered, int Overlapped), int> cells) =>
        Rows.OrderBy(row => row.Key).Sum(row => cells(row.Value) * grid.CellSquareMetres(row.Key));

    private static Dictionary<int, (int, int)> RowsOf(IEnumerable<TileCounts> tiles)
    {
        var rows = new Dictionary<int, (int Covered, int Overlapped)>();
        foreach (var (place, covered, overlapped) in tiles)
            for (var row = 0; row < CoverageTile.Side; row++)
            {
                if (covered[row] == 0)
                    continue;
                var gridRow = place.TileRow * CoverageTile.Side + row;
                var before = rows.GetValueOrDefault(gridRow);
                rows[gridRow] = (before.Covered + covered[row], before.Overlapped + overlapped[row]);
            }
        return rows;
    }
}
