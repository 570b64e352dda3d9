using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

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

    internal const int Cells = Side * Side;

    private const uint OverlapSeconds = 60;

    // Row by row; 0 in the earliest stands for never. 32 bits reach to the year 2106 and keep a farm's tiles in memory.
    private readonly uint[] earliest = new uint[Cells];

    private readonly uint[] latest = new uint[Cells];

    internal ReadOnlySpan<uint> Earliest => earliest;

    internal ReadOnlySpan<uint> Latest => latest;

    /// <summary>Notes a visit to the cells of a row from one column to another, both included (0…63 each way).</summary>
    public void Visit(int row, int firstColumn, int lastColumn, long seconds)
    {
        var at = (uint)Math.Clamp(seconds, 1, uint.MaxValue);
        var first = earliest.AsSpan((row * Side) + firstColumn, lastColumn - firstColumn + 1);
        var last = latest.AsSpan((row * Side) + firstColumn, first.Length);
        // Four cells at once, and one by one what is left. Less one, never (0) is the greatest of all.
        var fours = Vector128.Create(at);
        foreach (ref var four in MemoryMarshal.Cast<uint, Vector128<uint>>(first))
            four = Vector128.Min(four - Vector128<uint>.One, fours - Vector128<uint>.One) + Vector128<uint>.One;
        foreach (ref var four in MemoryMarshal.Cast<uint, Vector128<uint>>(last))
            four = Vector128.Max(four, fours);
        for (var i = first.Length & ~3; i < first.Length; i++)
        {
            first[i] = Math.Min(first[i] - 1, at - 1) + 1;
            last[i] = Math.Max(last[i], at);
        }
    }

    /// <summary>Makes the tile one that nobody visited.</summary>
    public void Clear()
    {
        Array.Clear(earliest);
        Array.Clear(latest);
    }

    /// <summary>Adds the visits of another tile at the same place.</summary>
    public void Merge(CoverageTile other)
    {
        for (var cell = 0; cell < Cells; cell++)
            if (other.earliest[cell] != 0)
                Visit(cell, other.earliest[cell], other.latest[cell]);
    }

    /// <summary>The number of covered cells in each of the 64 rows.</summary>
    public int[] CoveredByRow()
    {
        var byRow = new int[Side];
        for (var row = 0; row < Side; row++)
            byRow[row] = Side - earliest.AsSpan(row * Side, Side).Count(0u);
        return byRow;
    }

    /// <summary>The number of overlapped cells in each of the 64 rows: visited again more than 60 s after the first time.</summary>
    public int[] OverlappedByRow()
    {
        var byRow = new int[Side];
        for (var cell = 0; cell < Cells; cell++)
            byRow[cell / Side] += latest[cell] - earliest[cell] > OverlapSeconds ? 1 : 0;
        return byRow;
    }

    /// <summary>The compact stored bytes of the tile; equal visits give equal bytes.</summary>
    public byte[] Encode() => CoverageTileForm.Encode(this);

    /// <summary>Reads stored bytes back; a <see cref="FormatException"/> says what is wrong with damaged ones.</summary>
    public static CoverageTile Decode(ReadOnlySpan<byte> stored) => CoverageTileForm.Decode(stored);

    internal void Visit(int cell, uint first, uint last)
    {
        var known = earliest[cell] != 0;
        earliest[cell] = known ? Math.Min(earliest[cell], first) : first;
        latest[cell] = Math.Max(latest[cell], last);
    }
}
