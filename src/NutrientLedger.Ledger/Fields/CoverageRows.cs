using System.Collections.Immutable;
using NutrientLedger.Agronomy.Fields;

namespace NutrientLedger.Ledger;

/// <summary>Covered and overlapped cells of a field and season, by lattice row; areas follow from the farm's lattice.</summary>
public sealed record CoverageRows(
    string FieldId,
    int Season,
    IReadOnlyDictionary<int, (int Covered, int Overlapped)> Rows
)
{
    /// <summary>The rows of each field and season that tiles touch.</summary>
    public static IReadOnlyList<CoverageRows> Of(IEnumerable<KeyValuePair<TileKey, CoverageTile>> tiles) =>
        [
            .. tiles
                .GroupBy(tile => (tile.Key.FieldId, tile.Key.Season))
                .Select(place => new CoverageRows(place.Key.FieldId, place.Key.Season, RowsOf(place))),
        ];

    public double CoveredSquareMetres(CoverageLattice lattice) => Area(lattice, row => row.Covered);

    public double OverlappedSquareMetres(CoverageLattice lattice) => Area(lattice, row => row.Overlapped);

    // From south to north, so that the same cells give the same sum to the last bit.
    private double Area(CoverageLattice lattice, Func<(int Covered, int Overlapped), int> cells) =>
        Rows.OrderBy(row => row.Key).Sum(row => cells(row.Value) * lattice.CellSquareMetres(row.Key));

    private static ImmutableSortedDictionary<int, (int, int)> RowsOf(
        IEnumerable<KeyValuePair<TileKey, CoverageTile>> tiles
    )
    {
        var rows = new SortedDictionary<int, (int Covered, int Overlapped)>();
        foreach (var (key, tile) in tiles)
        {
            var (covered, overlapped) = (tile.CoveredByRow(), tile.OverlappedByRow());
            for (var row = 0; row < CoverageTile.Side; row++)
            {
                if (covered[row] == 0)
                    continue;
                var latticeRow = key.TileRow * CoverageTile.Side + row;
                var before = rows.GetValueOrDefault(latticeRow);
                rows[latticeRow] = (before.Covered + covered[row], before.Overlapped + overlapped[row]);
            }
        }
        return rows.ToImmutableSortedDictionary();
    }
}
