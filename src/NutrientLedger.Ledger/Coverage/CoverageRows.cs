using NutrientLedger.Agronomy.Fields;

namespace NutrientLedger.Ledger.Coverage;

/// <summary>The covered and overlapped cells in each of a tile's 64 rows.</summary>
public readonly record struct TileCounts(TileKey Key, byte[] Covered, byte[] Overlapped)
{
    public static TileCounts Of(TileKey key, CoverageTile tile) =>
        new(key, tile.CoveredByRow(), tile.OverlappedByRow());

    public static TileCounts Of(TileKey key, StoredTile tile) => new(key, tile.Covered, tile.Overlapped);
}

/// <summary>
/// Covered and overlapped cells of a field and season, by grid row. Areas follow from the farm's grid.
/// </summary>
public sealed record CoverageRows(
    string FieldId,
    int Season,
    IReadOnlyDictionary<int, (int Covered, int Overlapped)> Rows
)
{
    /// <summary>The rows of each field and season that tiles touch, from the tiles' counts.</summary>
    public static IReadOnlyList<CoverageRows> Of(IEnumerable<TileCounts> tiles) =>
        [
            .. tiles
                .GroupBy(tile => (tile.Key.FieldId, tile.Key.Season))
                .Select(place => new CoverageRows(place.Key.FieldId, place.Key.Season, RowsOf(place))),
        ];

    public double CoveredSquareMetres(CoverageGrid grid) => Area(grid, row => row.Covered);

    public double OverlappedSquareMetres(CoverageGrid grid) => Area(grid, row => row.Overlapped);

    // From south to north, so that the same cells give the same sum to the last bit.
    private double Area(CoverageGrid grid, Func<(int Covered, int Overlapped), int> cells) =>
        Rows.OrderBy(row => row.Key).Sum(row => cells(row.Value) * grid.CellSquareMetres(row.Key));

    private static Dictionary<int, (int, int)> RowsOf(IEnumerable<TileCounts> tiles)
    {
        var rows = new Dictionary<int, (int Covered, int Overlapped)>();
        foreach (var (key, covered, overlapped) in tiles)
            for (var row = 0; row < CoverageTile.Side; row++)
            {
                if (covered[row] == 0)
                    continue;
                var gridRow = key.TileRow * CoverageTile.Side + row;
                var before = rows.GetValueOrDefault(gridRow);
                rows[gridRow] = (before.Covered + covered[row], before.Overlapped + overlapped[row]);
            }
        return rows;
    }
}
