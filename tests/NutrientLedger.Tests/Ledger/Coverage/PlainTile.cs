using NutrientLedger.Ledger.Coverage;

namespace NutrientLedger.Tests.Ledger.Coverage;

/// <summary>
/// A second implementation of the visits to a tile and their stored form: cell by cell and bit by bit, as its
/// description says.
/// </summary>
internal sealed class PlainTile
{
    private const int Side = CoverageTile.Side;
    private readonly int[] first = new int[Side * Side];
    private readonly int[] last = new int[Side * Side];

    public void Visit(int row, int firstColumn, int lastColumn, int step)
    {
        for (var cell = (row * Side) + firstColumn; cell <= (row * Side) + lastColumn; cell++)
        {
            first[cell] = first[cell] == 0 ? step : Math.Min(first[cell], step);
            last[cell] = Math.Max(last[cell], step);
        }
    }

    public byte[] Encode()
    {
        var bits = new List<bool>();
        Number(bits, 2, 8);
        Write(bits, first);
        Write(bits, [.. last.Zip(first, (end, begin) => end - begin)]);
        return [.. bits.Chunk(8).Select(eight => (byte)eight.Select((bit, place) => bit ? 1 << place : 0).Sum())];
    }

    /// <summary>Reads the bytes of <see cref="Encode"/>; null where they are damaged.</summary>
    public static PlainTile? Decode(byte[] stored)
    {
        var bits = new Queue<bool>(
            stored.SelectMany(eight => Enumerable.Range(0, 8).Select(place => (eight & (1 << place)) != 0))
        );
        var tile = new PlainTile();
        if (
            Number(bits, 8) != 2
            || !Read(bits, tile.first)
            || !Read(bits, tile.last)
            || bits.Count > 7
            || bits.Contains(true)
        )
            return null;
        for (var cell = 0; cell < tile.first.Length; cell++)
        {
            var (begin, span) = (tile.first[cell], tile.last[cell]);
            if (begin + span > ushort.MaxValue || (begin == 0 && span > 0))
                return null;
            tile.last[cell] = begin + span;
        }
        return tile;
    }

    private static void Write(List<bool> bits, int[] values)
    {
        for (var cell = 0; cell < values.Length; )
        {
            var near = Near(values, cell);
            var stretch = Stretch(values, cell);
            if (stretch > 0)
            {
                var alike = Enumerable.Range(0, stretch).TakeWhile(ahead => values[cell + ahead] == near[0]).Count();
                bits.Add(alike < stretch);
                cell += alike;
                if (alike == stretch)
                    continue;
                Number(bits, alike, 6);
                Step(bits, values[cell++]);
                continue;
            }
            var value = values[cell++];
            var place = Array.IndexOf(near, value);
            bits.AddRange(Enumerable.Repeat(true, place < 0 ? near.Length : place));
            if (place >= 0)
                bits.Add(false);
            else
                Step(bits, value);
        }
    }

    private static bool Read(Queue<bool> bits, int[] values)
    {
        for (var cell = 0; cell < values.Length; )
        {
            var near = Near(values, cell);
            var stretch = Stretch(values, cell);
            if (stretch > 0)
            {
                var differs = Number(bits, 1);
                var alike = differs == 1 ? Number(bits, 6) : stretch;
                if (differs is null || alike is null || (differs == 1 && alike >= stretch))
                    return false;
                Array.Fill(values, near[0], cell, alike.Value);
                cell += alike.Value;
                if (differs == 1 && !Step(bits, out values[cell++]))
                    return false;
                continue;
            }
            var misses = 0;
            while (misses < near.Length && Number(bits, 1) is var miss && miss != 0)
            {
                if (miss is null)
                    return false;
                misses++;
            }
            if (misses < near.Length)
                values[cell++] = near[misses];
            else if (!Step(bits, out values[cell++]))
                return false;
        }
        return true;
    }

    /// <summary>
    /// The different values to the left of a cell, in the row before, and to the right of that. At the sides the row
    /// before stands in.
    /// </summary>
    private static int[] Near(int[] values, int cell)
    {
        var column = cell % Side;
        var above = Above(values, cell);
        var left = column > 0 ? values[cell - 1] : above;
        return [.. new[] { left, above, column < Side - 1 ? Above(values, cell + 1) : above }.Distinct()];
    }

    /// <summary>
    /// How many cells of the row would have three equal neighbours if all were like the one to the left.
    /// </summary>
    private static int Stretch(int[] values, int cell)
    {
        var near = Near(values, cell);
        if (near.Length > 1)
            return 0;
        var stretch = 0;
        for (var column = cell % Side; column < Side; column++, stretch++)
            if (
                Above(values, cell + stretch) != near[0]
                || (column < Side - 1 && Above(values, cell + stretch + 1) != near[0])
            )
                break;
        return stretch;
    }

    private static int Above(int[] values, int cell) => cell < Side ? 0 : values[cell - Side];

    private static void Step(List<bool> bits, int step)
    {
        bits.Add(step != 0);
        if (step != 0)
            Number(bits, step, 16);
    }

    private static bool Step(Queue<bool> bits, out int step)
    {
        var isSome = Number(bits, 1);
        var number = isSome == 1 ? Number(bits, 16) : isSome;
        step = number ?? 0;
        return number is not null;
    }

    private static void Number(List<bool> bits, int number, int length) =>
        bits.AddRange(Enumerable.Range(0, length).Select(place => (number & (1 << place)) != 0));

    /// <summary>A number of so many bits; null where they end.</summary>
    private static int? Number(Queue<bool> bits, int length)
    {
        if (bits.Count < length)
            return null;
        return Enumerable.Range(0, length).Sum(place => bits.Dequeue() ? 1 << place : 0);
    }
}
