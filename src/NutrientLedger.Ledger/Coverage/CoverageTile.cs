using System.Runtime.Intrinsics;

namespace NutrientLedger.Ledger.Coverage;

/// <summary>
/// The visits of one applicator to 64 by 64 grid cells on one farm day: for each cell the first and the last. Visits
/// are steps of 20 s since the day's start, counted from 1. They do not depend on the order of arrival.
/// </summary>
public sealed class CoverageTile
{
    /// <summary>Cells along each side of a tile.</summary>
    public const int Side = 64;

    /// <summary>The length of a step in seconds.</summary>
    public const int StepSeconds = 20;

    internal const int Cells = Side * Side;

    /// <summary>A cell is overlapped when its last visit is more than so many seconds after its first.</summary>
    internal const int OverlapSeconds = 60;

    private static readonly int Lanes = Vector256<ushort>.Count;

    // Row by row. 0 stands for never. A whole vector can be read and written at the last cell.
    private readonly ushort[] first = new ushort[Cells + Lanes];

    private readonly ushort[] last = new ushort[Cells + Lanes];

    /// <summary>
    /// The step that holds a moment, in Unix seconds, of the farm day that starts at another. The longest farm days
    /// have 25 hours and 4,500 steps.
    /// </summary>
    public static ushort Step(long seconds, long dayStartSeconds) =>
        (ushort)(Math.Clamp((seconds - dayStartSeconds) / StepSeconds, 0, ushort.MaxValue - 1) + 1);

    /// <summary>
    /// Notes a visit to the cells of a row from one column to another, both included (0…63 each way).
    /// </summary>
    public void Visit(int row, int firstColumn, int lastColumn, ushort step)
    {
        var cell = (row * Side) + firstColumn;
        for (var left = lastColumn - firstColumn + 1; left > 0; left -= Lanes, cell += Lanes)
        {
            // Beyond the last column the visit is 0, never, which changes nothing.
            var among = Vector256.LessThan(Vector256<ushort>.Indices, Vector256.Create((ushort)left));
            Visit(cell, among & Vector256.Create(step), among & Vector256.Create(step));
        }
    }

    /// <summary>Makes the tile one that nobody visited.</summary>
    public void Clear()
    {
        Array.Clear(first);
        Array.Clear(last);
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

    /// <summary>The visits of two stored tiles of the same key.</summary>
    public static byte[] Together(byte[] one, byte[] other)
    {
        var tile = Decode(one);
        tile.Add(other);
        return tile.Encode();
    }

    /// <summary>
    /// Adds the visits in the stored bytes of a tile of the same key. A <see cref="FormatException"/> says what is
    /// wrong with damaged ones.
    /// </summary>
    public void Add(ReadOnlySpan<byte> stored) => CoverageTileForm.Decode(stored, this);

    /// <summary>The first visit to each cell, row by row; 0 is never.</summary>
    internal ReadOnlySpan<ushort> First => first.AsSpan(0, Cells);

    /// <summary>The last visit to each cell, row by row; 0 is never.</summary>
    internal ReadOnlySpan<ushort> Last => last.AsSpan(0, Cells);

    /// <summary>Adds the first and last visit to each cell of another tile, row by row; 0 is never.</summary>
    internal void Add(ReadOnlySpan<ushort> first, ReadOnlySpan<ushort> last)
    {
        for (var cell = 0; cell < Cells; cell += Lanes)
            Visit(cell, Vector256.Create(first[cell..]), Vector256.Create(last[cell..]));
    }

    /// <summary>Which cells of a row were visited, a bit each, column 0 lowest.</summary>
    internal ulong VisitedIn(int row) => Bits(row, (_, last) => Vector256.GreaterThan(last, Vector256<ushort>.Zero));

    /// <summary>Which cells of a row were visited again more than 60 s after the first time, a bit each.</summary>
    internal ulong OverlappedIn(int row) =>
        Bits(
            row,
            (first, last) =>
                Vector256.GreaterThan(last - first, Vector256.Create((ushort)(OverlapSeconds / StepSeconds)))
        );

    private ulong Bits(int row, Func<Vector256<ushort>, Vector256<ushort>, Vector256<ushort>> which)
    {
        ulong bits = 0;
        for (var column = 0; column < Side; column += Lanes)
        {
            var cell = (row * Side) + column;
            var some = which(Vector256.Create(first, cell), Vector256.Create(last, cell));
            bits |= (ulong)some.ExtractMostSignificantBits() << column;
        }
        return bits;
    }

    private void Visit(int cell, Vector256<ushort> firstVisits, Vector256<ushort> lastVisits)
    {
        // Less one, never (0) is the greatest of all.
        var one = Vector256<ushort>.One;
        (Vector256.Min(Vector256.Create(first, cell) - one, firstVisits - one) + one).CopyTo(first, cell);
        Vector256.Max(Vector256.Create(last, cell), lastVisits).CopyTo(last, cell);
    }
}
