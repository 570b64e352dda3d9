namespace NutrientLedger.Ledger.Coverage;

/// <summary>
/// The visits to a tile as they come. Its cells are filled in only on demand, because they are scattered over 16 kB.
/// The notes of a swath are a few bytes beside those of the swath before.
/// </summary>
internal sealed class NotedVisits(CoverageBook coverage)
{
    // A word for the step, then one for each rectangle of cells visited in it. From the lowest bit: last and first
    // row, last and first column, six bits each, and whether one more follows.
    private const int FirstRow = 6;
    private const int LastColumn = 12;
    private const int FirstColumn = 18;
    private const uint More = 1 << 24;
    private const uint SixBits = 63;

    private const int FewWords = 32;

    private readonly List<byte[]> stored = [];
    private uint[] words = [];
    private int count;
    private ushort lastStep;

    /// <summary>How many bytes the visits take.</summary>
    public long Bytes { get; private set; }

    /// <summary>Adds visits in the stored form of a tile.</summary>
    public void Add(byte[] visits)
    {
        stored.Add(visits);
        Count(visits.Length);
    }

    /// <summary>
    /// Notes a visit to the cells of a row from one column to another, both included (0…63 each way). Steps count
    /// from 1.
    /// </summary>
    public void Add(int row, int firstColumn, int lastColumn, ushort step)
    {
        var run = (uint)((firstColumn << FirstColumn) | (lastColumn << LastColumn) | (row << FirstRow) | row);
        if (words.Length - count < 2)
            Grow();
        if (step != lastStep)
            words[count++] = lastStep = step;
        else if (words[count - 1] is var last && last >> LastColumn == run >> LastColumn && (last & SixBits) + 1 == row)
        {
            // Swaths along the grid have the same columns in row after row.
            words[count - 1]++;
            return;
        }
        else
            words[count - 1] |= More;
        words[count++] = run;
    }

    /// <summary>Fills in the cells of a tile without visits.</summary>
    public void To(CoverageTile tile)
    {
        foreach (var visits in stored)
            tile.Add(visits);
        for (var at = 0; at < count; )
        {
            var step = (ushort)words[at++];
            uint word;
            do
            {
                word = words[at++];
                for (var row = Bits(word, FirstRow); row <= Bits(word, 0); row++)
                    tile.Visit(row, Bits(word, FirstColumn), Bits(word, LastColumn), step);
            } while ((word & More) != 0);
        }

        static int Bits(uint word, int from) => (int)((word >> from) & SixBits);
    }

    private void Grow()
    {
        var before = words.Length;
        Array.Resize(ref words, Math.Max(FewWords, 2 * before));
        Count((words.Length - before) * sizeof(uint));
    }

    private void Count(int bytes)
    {
        Bytes += bytes;
        coverage.BytesNoted += bytes;
    }
}
