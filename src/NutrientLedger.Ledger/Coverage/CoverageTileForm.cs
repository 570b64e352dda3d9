using System.Runtime.Intrinsics;

namespace NutrientLedger.Ledger.Coverage;

/// <summary>
/// The stored form of a coverage tile, version 2: the first visits of all cells, then the steps from the first to the
/// last, both row by row. A machine covers many cells in one step. So a value is nearly always that of a neighbour: the
/// cell to the left, the one in the row before, or the one to the right of that.
/// </summary>
/// <remarks>
/// Where the three are equal, one bit says that a whole stretch of such cells has their value. Otherwise it says that
/// one cell, so many cells ahead, has another. Where they differ, each bit rules out one of them. Before the first row
/// all is 0. At the sides the cell in the row before stands for the missing neighbour.
/// </remarks>
internal static class CoverageTileForm
{
    private const int Version = 2;
    private const int Side = CoverageTile.Side;
    private const int ColumnBits = 6;
    private const int StepBits = 16;

    public static byte[] Encode(CoverageTile tile)
    {
        Span<ushort> spans = stackalloc ushort[CoverageTile.Cells];
        for (var cell = 0; cell < spans.Length; cell += Vector256<ushort>.Count)
            (Vector256.Create(tile.Last[cell..]) - Vector256.Create(tile.First[cell..])).CopyTo(spans[cell..]);
        var to = new BitWriter();
        to.Write(Version, 8);
        WriteRows(to, tile.First);
        WriteRows(to, spans);
        return to.ToArray();
    }

    /// <summary>Adds the visits in stored bytes to a tile.</summary>
    public static void Decode(ReadOnlySpan<byte> stored, CoverageTile tile)
    {
        var from = new BitReader(stored);
        if (from.Read(8) is var version and not Version)
            throw new FormatException(
                $"A stored coverage tile has version {version}; this hub reads version {Version}."
            );
        Span<ushort> first = stackalloc ushort[CoverageTile.Cells];
        Span<ushort> last = stackalloc ushort[CoverageTile.Cells];
        ReadRows(ref from, first);
        ReadRows(ref from, last);
        if (!from.AtEnd)
            throw new FormatException("A stored coverage tile is followed by bits that do not belong to it.");
        var wrong = Vector256<ushort>.Zero;
        for (var cell = 0; cell < last.Length; cell += Vector256<ushort>.Count)
        {
            var (firsts, spans) = (Vector256.Create<ushort>(first[cell..]), Vector256.Create<ushort>(last[cell..]));
            var lasts = firsts + spans;
            // A sum beyond 16 bits is smaller than its parts. A cell never visited has no span.
            wrong |= Vector256.LessThan(lasts, firsts);
            wrong |= Vector256.Equals(firsts, Vector256<ushort>.Zero) & spans;
            lasts.CopyTo(last[cell..]);
        }
        if (wrong != Vector256<ushort>.Zero)
            throw new FormatException("A stored coverage tile holds a last visit without or before a first.");
        tile.Add(first, last);
    }

    private static void WriteRows(BitWriter to, ReadOnlySpan<ushort> cells)
    {
        ReadOnlySpan<ushort> before = stackalloc ushort[Side];
        for (; cells.Length > 0; cells = cells[Side..])
        {
            var row = cells[..Side];
            for (var column = 0; column < Side; )
            {
                var near = new Neighbours(row, before, column);
                if (near.Stretch == 0)
                {
                    near.Write(to, row[column++]);
                    continue;
                }
                var alike = row.Slice(column, near.Stretch).IndexOfAnyExcept(near.Left);
                to.Write(alike < 0 ? 0 : 1, 1);
                column += alike < 0 ? near.Stretch : alike;
                if (alike < 0)
                    continue;
                to.Write(alike, ColumnBits);
                WriteStep(to, row[column++]);
            }
            before = row;
        }
    }

    private static void ReadRows(ref BitReader from, scoped Span<ushort> cells)
    {
        scoped ReadOnlySpan<ushort> before = stackalloc ushort[Side];
        for (; cells.Length > 0; cells = cells[Side..])
        {
            var row = cells[..Side];
            for (var column = 0; column < Side; )
            {
                var near = new Neighbours(row, before, column);
                if (near.Stretch == 0)
                {
                    row[column++] = near.Read(ref from);
                    continue;
                }
                var isOther = from.Read(1) == 1;
                var alike = isOther ? from.Read(ColumnBits) : near.Stretch;
                if (isOther && alike >= near.Stretch)
                    throw new FormatException("A stored coverage tile has a cell that lies beyond its stretch.");
                row.Slice(column, alike).Fill(near.Left);
                column += alike;
                if (isOther)
                    row[column++] = ReadStep(ref from);
            }
            before = row;
        }
    }

    // Never, the value of most cells that differ from all neighbours, takes a single bit.
    private static void WriteStep(BitWriter to, ushort step)
    {
        to.Write(step == 0 ? 0 : 1, 1);
        if (step != 0)
            to.Write(step, StepBits);
    }

    private static ushort ReadStep(ref BitReader from) => (ushort)(from.Read(1) == 0 ? 0 : from.Read(StepBits));

    /// <summary>The values beside a cell: to the left, in the row before, and to the right of that.</summary>
    private readonly struct Neighbours
    {
        private readonly ushort above;
        private readonly ushort aboveRight;

        public Neighbours(ReadOnlySpan<ushort> row, ReadOnlySpan<ushort> before, int column)
        {
            above = before[column];
            Left = column > 0 ? row[column - 1] : above;
            aboveRight = column + 1 < Side ? before[column + 1] : above;
            if (Left != above || Left != aboveRight)
                return;
            var ahead = before[column..];
            var other = ahead.IndexOfAnyExcept(Left);
            Stretch = other < 0 ? ahead.Length : other - 1;
        }

        public ushort Left { get; }

        /// <summary>
        /// From the cell on, how many have three equal neighbours as long as they are alike themselves.
        /// </summary>
        public int Stretch { get; }

        private bool HasThird => aboveRight != Left && aboveRight != above;

        public void Write(BitWriter to, ushort value)
        {
            if (!Is(Left) && !(above != Left && Is(above)) && !(HasThird && Is(aboveRight)))
                WriteStep(to, value);

            bool Is(ushort neighbour)
            {
                to.Write(value == neighbour ? 0 : 1, 1);
                return value == neighbour;
            }
        }

        public ushort Read(ref BitReader from) =>
            from.Read(1) == 0 ? Left
            : above != Left && from.Read(1) == 0 ? above
            : HasThird && from.Read(1) == 0 ? aboveRight
            : ReadStep(ref from);
    }
}
