using System.Numerics;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace NutrientLedger.Ledger.Coverage;

/// <summary>
/// The place of a coverage tile: field, season and tile row and column (64 by 64 grid cells each, rounded down).
/// </summary>
public readonly record struct TileKey(string FieldId, int Season, int TileRow, int TileColumn);

/// <summary>
/// The visits to 64 by 64 grid cells: for each cell the earliest and latest visit in Unix seconds. Covered and
/// overlapped need no more. They do not depend on the order of arrival.
/// </summary>
public sealed class CoverageTile
{
    /// <summary>Cells along each side of a tile.</summary>
    public const int Side = 64;

    internal const int Cells = Side * Side;

    private const uint OverlapSeconds = 60;

    // Row by row. 0 in the earliest stands for never. 32 bits reach to the year 2106 and keep a farm's tiles in memory.
    private readonly uint[] earliest = new uint[Cells];

    private readonly uint[] latest = new uint[Cells];

    internal ReadOnlySpan<uint> Earliest => earliest;

    /// <summary>
    /// Notes a visit to the cells of a row from one column to another, both included (0…63 each way).
    /// </summary>
    public void Visit(int row, int firstColumn, int lastColumn, long seconds)
    {
        var at = Second(seconds);
        var first = earliest.AsSpan((row * Side) + firstColumn, lastColumn - firstColumn + 1);
        var last = latest.AsSpan((row * Side) + firstColumn, first.Length);
        // Four cells at once, then the rest one by one. Less one, never (0) is the greatest of all.
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

    /// <summary>The number of covered cells in each of the 64 rows.</summary>
    public byte[] CoveredByRow()
    {
        var byRow = new byte[Side];
        for (var row = 0; row < Side; row++)
            byRow[row] = (byte)BitOperations.PopCount(VisitedIn(row));
        return byRow;
    }

    /// <summary>
    /// The number of overlapped cells in each of the 64 rows: visited again more than 60 s after the first time.
    /// </summary>
    public byte[] OverlappedByRow()
    {
        var byRow = new byte[Side];
        for (var cell = 0; cell < Cells; cell += Vector256<uint>.Count)
        {
            var overlaps = Vector256.GreaterThan(Span(cell), Vector256.Create(OverlapSeconds));
            byRow[cell / Side] += (byte)BitOperations.PopCount(overlaps.ExtractMostSignificantBits());
        }
        return byRow;
    }

    /// <summary>Which cells of a row were visited, a bit each, column 0 lowest.</summary>
    internal ulong VisitedIn(int row)
    {
        ulong never = 0;
        for (var column = 0; column < Side; column += Vector256<uint>.Count)
        {
            var eight = Vector256.Equals(Eight(earliest, (row * Side) + column), Vector256<uint>.Zero);
            never |= (ulong)eight.ExtractMostSignificantBits() << column;
        }
        return ~never;
    }

    /// <summary>The compact stored bytes of the tile. Equal visits give equal bytes.</summary>
    public byte[] Encode() => CoverageTileForm.Encode(this);

    /// <summary>
    /// Reads stored bytes back. A <see cref="FormatException"/> says what is wrong with damaged ones.
    /// </summary>
    public static CoverageTile Decode(ReadOnlySpan<byte> stored)
    {
        var tile = new CoverageTile();
        tile.Add(stored);
        return tile;
    }

    /// <summary>
    /// Adds the visits in the stored bytes of a tile at the same place. A <see cref="FormatException"/> says what is
    /// wrong with damaged ones.
    /// </summary>
    public void Add(ReadOnlySpan<byte> stored) => CoverageTileForm.Decode(stored, this);

    /// <summary>A time as a visit notes it: in whole seconds since 1970, from 1 to 2106. 0 is never.</summary>
    internal static uint Second(long seconds) => (uint)Math.Clamp(seconds, 1, uint.MaxValue);

    /// <summary>For each cell the seconds from its earliest to its latest visit.</summary>
    internal void SpansTo(Span<uint> spans)
    {
        for (var cell = 0; cell < Cells; cell += Vector256<uint>.Count)
            Span(cell).CopyTo(spans[cell..]);
    }

    /// <summary>
    /// Notes visits to a cell, the first and the last of them. Less one, never (0) is the greatest of all.
    /// </summary>
    internal void Visit(int cell, uint first, uint last) =>
        (earliest[cell], latest[cell]) = (Math.Min(earliest[cell] - 1, first - 1) + 1, Math.Max(latest[cell], last));

    private Vector256<uint> Span(int cell) => Eight(latest, cell) - Eight(earliest, cell);

    private static Vector256<uint> Eight(uint[] cells, int first) => Vector256.Create(cells, first);
}
