using System.Numerics;
using System.Runtime.Intrinsics;

namespace NutrientLedger.Ledger.Coverage;

/// <summary>
/// Predicts the visited cells of a tile's row from their neighbours. Cells are bits, column 0 lowest. The prediction is
/// the plane through the cells to the left and in the row before. Where one is missing, it is the nearest known value.
/// </summary>
internal readonly struct Predictor(ulong here, ulong before)
{
    private readonly ulong plane = here & (here << 1) & before & (before << 1);
    private readonly ulong left = here & (here << 1);
    private readonly ulong below = here & before;

    public ulong Here => here;

    /// <summary>
    /// The predicted value of a cell. The row begins at an index with at least a row and a cell before it.
    /// </summary>
    public long Predicted<T>(ReadOnlySpan<T> values, int begin, int column, long last)
        where T : struct, IBinaryInteger<T>
    {
        var (cell, bit) = (begin + column, 1ul << column);
        return (plane & bit) != 0
                ? unchecked(
                    Value(values, cell - 1)
                    + Value(values, cell - CoverageTile.Side)
                    - Value(values, cell - CoverageTile.Side - 1)
                )
            : (left & bit) != 0 ? Value(values, cell - 1)
            : (below & bit) != 0 ? Value(values, cell - CoverageTile.Side)
            : last;
    }

    /// <summary>How many cells in a row, from a column on, the plane predicts.</summary>
    public int PlaneFrom(int column) => BitOperations.TrailingZeroCount(~(plane >> column));

    /// <summary>Fills in the last so many values with the plane's prediction. A row and a cell precede them.</summary>
    public static void FillPlane(Span<long> values, int run)
    {
        // Each is the one below it plus a constant: the cell to the left of all less the corner.
        var more = unchecked(values[^(run + 1)] - values[0]);
        for (var i = 0; i < run; i++)
            values[CoverageTile.Side + 1 + i] = unchecked(values[1 + i] + more);
    }

    /// <summary>The cells whose values equal their prediction. Cells without neighbours are left out.</summary>
    public ulong AsPredicted(ReadOnlySpan<uint> values, int begin)
    {
        if (here == 0)
            return 0;
        var (likePlane, likeLeft, likeBelow) = (0ul, 0ul, 0ul);
        for (var column = 0; column < CoverageTile.Side; column += Vector256<uint>.Count)
        {
            var value = Eight(values, begin + column);
            var leftOne = Eight(values, begin + column - 1);
            var belowOne = Eight(values, begin + column - CoverageTile.Side);
            var corner = Eight(values, begin + column - CoverageTile.Side - 1);
            // Differences of 32 bits are surely equal if they have the same sign.
            var alike =
                Vector256.Equals(value - leftOne, belowOne - corner)
                & ~(Vector256.LessThan(value, leftOne) ^ Vector256.LessThan(belowOne, corner));
            likePlane |= Bits(alike) << column;
            likeLeft |= Bits(Vector256.Equals(value, leftOne)) << column;
            likeBelow |= Bits(Vector256.Equals(value, belowOne)) << column;
        }
        return (plane & likePlane) | (left & ~plane & likeLeft) | (below & ~left & likeBelow);
    }

    private static Vector256<uint> Eight(ReadOnlySpan<uint> values, int at) =>
        Vector256.Create(values.Slice(at, Vector256<uint>.Count));

    private static ulong Bits(Vector256<uint> which) => which.ExtractMostSignificantBits();

    private static long Value<T>(ReadOnlySpan<T> values, int at)
        where T : struct, IBinaryInteger<T> => long.CreateTruncating(values[at]);
}
