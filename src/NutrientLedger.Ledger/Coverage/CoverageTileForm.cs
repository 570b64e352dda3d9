using System.Buffers;
using System.Numerics;
using NutrientLedger.Journal.Codecs;

namespace NutrientLedger.Ledger.Coverage;

/// <summary>
/// The stored form of a coverage tile, version 1. First the visited cells, as lengths of runs (not visited, visited,
/// not visited …) row by row. Then for the visited cells the earliest times, and after them the spans to the latest.
/// Each is the difference to what its neighbours predict. A machine drives evenly, so most differences are 0 and only
/// counted.
/// </summary>
internal static class CoverageTileForm
{
    private const byte Version = 1;
    private const int Side = CoverageTile.Side;

    // The values of a tile come after one more row and cell without visits, so that each has neighbours before it.
    private const int Begin = Side + 1;

    public static byte[] Encode(CoverageTile tile)
    {
        var to = new Leb128Writer();
        to.WriteByte(Version);
        WriteRuns(to, tile.Earliest);
        Span<ulong> visited = stackalloc ulong[Side];
        for (var row = 0; row < Side; row++)
            visited[row] = tile.VisitedIn(row);

        Span<uint> values = stackalloc uint[Begin + CoverageTile.Cells];
        var cells = values[Begin..];
        tile.Earliest.CopyTo(cells);
        WriteValues(to, visited, values);
        tile.SpansTo(cells);
        WriteValues(to, visited, values);
        return to.ToArray();
    }

    /// <summary>Adds the visits in stored bytes to a tile.</summary>
    public static void Decode(ReadOnlySpan<byte> stored, CoverageTile tile)
    {
        var from = new Leb128Reader(stored);
        if (from.ReadByte() is var version and not Version)
            throw new FormatException(
                $"A stored coverage tile has version {version}; this hub reads version {Version}."
            );
        Span<ulong> visited = stackalloc ulong[Side];
        ReadRuns(ref from, visited);
        // Of the rented array only the visited cells are written, and no others are read.
        var borrowed = ArrayPool<long>.Shared.Rent(2 * (Begin + CoverageTile.Cells));
        try
        {
            var earliest = borrowed.AsSpan(0, Begin + CoverageTile.Cells);
            var spans = borrowed.AsSpan(earliest.Length, earliest.Length);
            ReadValues(ref from, visited, earliest);
            ReadValues(ref from, visited, spans);
            if (!from.AtEnd)
                throw new FormatException("A stored coverage tile is followed by bytes that do not belong to it.");
            for (var row = 0; row < Side; row++)
            for (var ahead = visited[row]; ahead != 0; ahead &= ahead - 1)
            {
                var cell = (row * Side) + BitOperations.TrailingZeroCount(ahead);
                var (first, span) = (earliest[Begin + cell], spans[Begin + cell]);
                if (first is < 1 or > uint.MaxValue || span < 0 || span > uint.MaxValue - first)
                    throw new FormatException("A stored coverage tile holds a visit outside the years 1970 to 2106.");
                tile.Visit(cell, (uint)first, (uint)(first + span));
            }
        }
        finally
        {
            ArrayPool<long>.Shared.Return(borrowed);
        }
    }

    // A number other than 0 marks a visited cell: here the earliest time.
    private static void WriteRuns(Leb128Writer to, ReadOnlySpan<uint> visited)
    {
        if (visited[0] != 0)
            to.WriteUnsigned(0);
        while (visited.Length > 0)
        {
            var run = visited[0] != 0 ? visited.IndexOf(0u) : visited.IndexOfAnyExcept(0u);
            run = run < 0 ? visited.Length : run;
            to.WriteUnsigned((ulong)run);
            visited = visited[run..];
        }
    }

    private static void ReadRuns(ref Leb128Reader from, scoped Span<ulong> visited)
    {
        for (var (cell, inRun) = (0, false); cell < CoverageTile.Cells; inRun = !inRun)
        {
            var length = from.ReadUnsigned();
            if (length > (ulong)(CoverageTile.Cells - cell) || (length == 0 && cell > 0))
                throw new FormatException("A stored coverage tile has a run of cells that cannot be.");
            for (var end = cell + (int)length; cell < end; )
            {
                var (row, column) = (cell / Side, cell % Side);
                var inRow = Math.Min(end - cell, Side - column);
                visited[row] |= inRun ? ulong.MaxValue >> (Side - inRow) << column : 0;
                cell += inRow;
            }
        }
    }

    private static void WriteValues(Leb128Writer to, ReadOnlySpan<ulong> visited, ReadOnlySpan<uint> values)
    {
        var (asPredicted, last, before) = (0ul, 0L, 0ul);
        for (var row = 0; row < Side; row++)
        {
            var cells = new Predictor(visited[row], before);
            var begin = Begin + (row * Side);
            var ahead = cells.Here;
            for (
                var differing = cells.Here & ~cells.AsPredicted(values, begin);
                differing != 0;
                differing &= differing - 1
            )
            {
                var column = BitOperations.TrailingZeroCount(differing);
                var upTo = ulong.MaxValue >> (Side - 1 - column);
                var earlier = cells.Here & (upTo >> 1);
                var previous = earlier == 0 ? last : values[begin + BitOperations.Log2(earlier)];
                var difference = values[begin + column] - cells.Predicted(values, begin, column, previous);
                asPredicted += (ulong)BitOperations.PopCount(ahead & (upTo >> 1));
                ahead &= ~upTo;
                if (difference == 0)
                {
                    asPredicted++;
                    continue;
                }
                to.WriteUnsigned(asPredicted);
                to.WriteZigZag(difference);
                asPredicted = 0;
            }
            asPredicted += (ulong)BitOperations.PopCount(ahead);
            last = cells.Here == 0 ? last : values[begin + BitOperations.Log2(cells.Here)];
            before = cells.Here;
        }
        if (asPredicted > 0)
            to.WriteUnsigned(asPredicted);
    }

    private static void ReadValues(ref Leb128Reader from, scoped ReadOnlySpan<ulong> visited, scoped Span<long> values)
    {
        ulong? asPredicted = null;
        var (last, before) = (0L, 0ul);
        for (var row = 0; row < Side; row++)
        {
            var cells = new Predictor(visited[row], before);
            var begin = Begin + (row * Side);
            for (var ahead = cells.Here; ahead != 0; ahead &= ahead - 1)
            {
                var column = BitOperations.TrailingZeroCount(ahead);
                asPredicted ??= from.ReadUnsigned();
                if ((int)Math.Min(asPredicted.Value, (ulong)cells.PlaneFrom(column)) is > 1 and var run)
                {
                    Predictor.FillPlane(values.Slice(begin + column - Begin, run + Begin), run);
                    column += run - 1;
                    (ahead, asPredicted, last) = (
                        ahead & (ulong.MaxValue << column),
                        asPredicted - (ulong)run,
                        values[begin + column]
                    );
                    continue;
                }
                last = unchecked(
                    cells.Predicted<long>(values, begin, column, last) + (asPredicted == 0 ? from.ReadZigZag() : 0)
                );
                asPredicted = asPredicted == 0 ? null : asPredicted - 1;
                values[begin + column] = last;
            }
            before = cells.Here;
        }
        if (asPredicted is > 0)
            throw new FormatException("A stored coverage tile counts more cells than were visited.");
    }
}
