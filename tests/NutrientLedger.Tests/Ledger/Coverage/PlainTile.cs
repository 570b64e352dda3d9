using NutrientLedger.Journal.Codecs;
using NutrientLedger.Ledger.Coverage;

namespace NutrientLedger.Tests.Ledger.Coverage;

/// <summary>
/// A second implementation of the visits to a tile and their stored form: cell by cell, as its description says.
/// </summary>
internal sealed class PlainTile
{
    private const int Side = CoverageTile.Side;
    private readonly long[] earliest = new long[Side * Side];
    private readonly long[] latest = new long[Side * Side];

    public void Visit(int row, int firstColumn, int lastColumn, long seconds)
    {
        var at = Math.Clamp(seconds, 1, uint.MaxValue);
        for (var cell = (row * Side) + firstColumn; cell <= (row * Side) + lastColumn; cell++)
        {
            earliest[cell] = earliest[cell] == 0 ? at : Math.Min(earliest[cell], at);
            latest[cell] = Math.Max(latest[cell], at);
        }
    }

    public byte[] Encode()
    {
        var to = new Leb128Writer();
        to.WriteByte(1);
        var (inRun, run) = (false, 0ul);
        foreach (var first in earliest)
        {
            if (first != 0 == inRun)
            {
                run++;
                continue;
            }
            to.WriteUnsigned(run);
            (inRun, run) = (!inRun, 1);
        }
        to.WriteUnsigned(run);
        Write(to, earliest);
        Write(to, [.. latest.Zip(earliest, (last, first) => last - first)]);
        return to.ToArray();
    }

    /// <summary>Reads the bytes of <see cref="Encode"/>; null where they are damaged.</summary>
    public static PlainTile? Decode(byte[] stored)
    {
        var from = new Leb128Reader(stored);
        var tile = new PlainTile();
        try
        {
            if (from.ReadByte() != 1)
                return null;
            for (var (cell, inRun) = (0, false); cell < Side * Side; inRun = !inRun)
            {
                var length = from.ReadUnsigned();
                if (length > (ulong)((Side * Side) - cell) || (length == 0 && cell > 0))
                    return null;
                Array.Fill(tile.earliest, inRun ? 1 : 0, cell, (int)length);
                cell += (int)length;
            }
            var visited = tile.earliest.Select(first => first != 0).ToArray();
            if (!Read(ref from, visited, tile.earliest) || !Read(ref from, visited, tile.latest) || !from.AtEnd)
                return null;
            for (var cell = 0; cell < visited.Length; cell++)
            {
                if (!visited[cell])
                    continue;
                var (first, span) = (tile.earliest[cell], tile.latest[cell]);
                if (first is < 1 or > uint.MaxValue || span < 0 || span > uint.MaxValue - first)
                    return null;
                tile.latest[cell] = first + span;
            }
            return tile;
        }
        catch (FormatException)
        {
            return null;
        }
    }

    private void Write(Leb128Writer to, long[] values)
    {
        var (asPredicted, last) = (0ul, 0L);
        for (var cell = 0; cell < values.Length; cell++)
        {
            if (earliest[cell] == 0)
                continue;
            var difference = values[cell] - Predicted(at => earliest[at] != 0, values, cell, last);
            last = values[cell];
            asPredicted++;
            if (difference == 0)
                continue;
            to.WriteUnsigned(asPredicted - 1);
            to.WriteZigZag(difference);
            asPredicted = 0;
        }
        if (asPredicted > 0)
            to.WriteUnsigned(asPredicted);
    }

    private static bool Read(ref Leb128Reader from, bool[] visited, long[] values)
    {
        ulong? asPredicted = null;
        long last = 0;
        for (var cell = 0; cell < values.Length; cell++)
        {
            if (!visited[cell])
                continue;
            asPredicted ??= from.ReadUnsigned();
            last = unchecked(
                Predicted(at => visited[at], values, cell, last) + (asPredicted == 0 ? from.ReadZigZag() : 0)
            );
            values[cell] = last;
            asPredicted = asPredicted == 0 ? null : asPredicted - 1;
        }
        return asPredicted is null or 0;
    }

    private static long Predicted(Func<int, bool> visited, long[] values, int cell, long last)
    {
        var left = cell % Side > 0 && visited(cell - 1);
        var below = cell >= Side && visited(cell - Side);
        return left && below && visited(cell - Side - 1)
                ? unchecked(values[cell - 1] + values[cell - Side] - values[cell - Side - 1])
            : left ? values[cell - 1]
            : below ? values[cell - Side]
            : last;
    }
}
