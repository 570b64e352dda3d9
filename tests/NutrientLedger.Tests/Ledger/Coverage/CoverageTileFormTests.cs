using NutrientLedger.Ledger.Coverage;

namespace NutrientLedger.Tests.Ledger.Coverage;

/// <summary>
/// The fast path over stretches of cells writes and reads the same bits as the plain path over single cells.
/// </summary>
public class CoverageTileFormTests
{
    // Steps so far apart that 16-bit differences wrap around.
    private static readonly ushort[] Extremes = [1, 2, 1 << 15, (1 << 15) + 1, ushort.MaxValue - 1, ushort.MaxValue];

    public static TheoryData<int> Seeds => [.. Enumerable.Range(1, 60)];

    [Theory]
    [MemberData(nameof(Seeds))]
    public void Any_tile_is_stored_as_described_and_comes_back(int seed)
    {
        var (tile, plain) = Some(new(seed));

        var stored = tile.Encode();

        Assert.Equal(plain.Encode(), stored);
        Assert.Equal(stored, CoverageTile.Decode(stored).Encode());
    }

    [Theory]
    [MemberData(nameof(Seeds))]
    public void Damaged_bytes_are_read_alike_or_rejected_alike(int seed)
    {
        var random = new Random(seed);
        var stored = Some(random).Tile.Encode();
        var rejected = 0;
        for (var attempt = 0; attempt < 40; attempt++)
        {
            var damaged = random.Next(3) > 0 ? stored.AsSpan().ToArray() : stored[..random.Next(1, stored.Length + 1)];
            damaged[random.Next(damaged.Length)] ^= (byte)(1 << random.Next(8));
            var expected = PlainTile.Decode(damaged)?.Encode();
            byte[]? read = null;
            var error = Record.Exception(() => read = CoverageTile.Decode(damaged).Encode());
            Assert.True(error is null or FormatException, error?.ToString());
            Assert.Equal(expected, read);
            rejected += read is null ? 1 : 0;
        }
        Assert.InRange(rejected, 1, 40);
    }

    /// <summary>Passes with gaps, one over another, whole tiles, single cells, also at all edges.</summary>
    private static (CoverageTile Tile, PlainTile Plain) Some(Random random)
    {
        var (tile, plain) = (new CoverageTile(), new PlainTile());
        var start = random.Next(3) == 0 ? 1 : 2_000;
        for (var pass = random.Next(8); pass >= 0; pass--)
        {
            var (first, width) = (random.Next(64), random.Next(1, 65));
            var last = Math.Min(63, first + width - 1);
            var (rowsAStep, kind) = (random.Next(1, 40), random.Next(5));
            start += random.Next(100);
            for (var row = random.Next(-40, 40); row < 64; row++)
            {
                if (row < 0 || random.Next(30) == 0)
                    continue;
                var step = kind == 0 ? Extremes[random.Next(Extremes.Length)] : (ushort)(start + (row / rowsAStep));
                var lean = kind == 1 ? Math.Clamp(row % 7, 0, last - first) : 0;
                tile.Visit(row, first + lean, last, step);
                plain.Visit(row, first + lean, last, step);
            }
        }
        for (var cell = random.Next(4) == 0 ? 0 : 4096; cell < 4096; cell++)
        {
            var step = Extremes[random.Next(Extremes.Length)];
            tile.Visit(cell / 64, cell % 64, cell % 64, step);
            plain.Visit(cell / 64, cell % 64, cell % 64, step);
        }
        for (var single = random.Next(2) * random.Next(300); single > 0; single--)
        {
            var (row, column, step) = (random.Next(64), random.Next(64), (ushort)(start + random.Next(3)));
            tile.Visit(row, column, column, step);
            plain.Visit(row, column, column, step);
        }
        return (tile, plain);
    }
}
