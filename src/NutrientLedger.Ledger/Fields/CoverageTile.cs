namespace NutrientLedger.Ledger;

/// <summary>Where a coverage tile lies: field, season and tile row and column (64 by 64 lattice cells each, rounded down).</summary>
public readonly record struct TileKey(string FieldId, int Season, int TileRow, int TileColumn);

/// <summary>
/// The visits to 64 by 64 lattice cells: for each cell the earliest and latest visit in Unix seconds, which is all that
/// covered and overlapped need and does not depend on the order of arrival.
/// </summary>
public sealed class CoverageTile
{
    /// <summary>Cells along each side of a tile.</summary>
    public const int Side = 64;

    /// <summary>Notes a visit to one cell (0…63 each way).</summary>
    public void Visit(int row, int column, long seconds) => throw new NotImplementedException();

    /// <summary>Adds the visits of another tile at the same place.</summary>
    public void Merge(CoverageTile other) => throw new NotImplementedException();

    /// <summary>The number of covered cells in each of the 64 rows.</summary>
    public int[] CoveredByRow() => throw new NotImplementedException();

    /// <summary>The number of overlapped cells in each of the 64 rows.</summary>
    public int[] OverlappedByRow() => throw new NotImplementedException();

    /// <summary>The compact stored bytes of the tile.</summary>
    public byte[] Encode() => throw new NotImplementedException();

    /// <summary>Reads stored bytes back.</summary>
    public static CoverageTile Decode(ReadOnlySpan<byte> stored) => throw new NotImplementedException();
}
