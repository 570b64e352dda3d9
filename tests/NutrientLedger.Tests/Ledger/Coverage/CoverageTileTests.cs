using NutrientLedger.Ledger.Coverage;

namespace NutrientLedger.Tests.Ledger.Coverage;

public class CoverageTileTests
{
    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    [InlineData(40)]
    [InlineData(20_000)]
    public void Stored_bytes_give_the_same_tile_back(int visits)
    {
        var tile = Scattered(visits, seed: visits);

        var stored = tile.Encode();
        var back = CoverageTile.Decode(stored);

        Assert.Equal(stored, back.Encode());
        Assert.Equal(tile.CoveredByRow(), back.CoveredByRow());
        Assert.Equal(tile.OverlappedByRow(), back.OverlappedByRow());
    }

    [Fact]
    public void The_same_visits_in_any_order_and_grouping_give_the_same_bytes()
    {
        var whole = Scattered(5_000, seed: 3);
        var merged = new CoverageTile();
        merged.Add(Scattered(5_000, seed: 3, visit => visit % 3 == 2).Encode());
        merged.Add(Scattered(5_000, seed: 3, visit => visit % 3 != 2).Encode());
        merged.Add(Scattered(5_000, seed: 3, visit => visit % 5 == 0).Encode());

        Assert.Equal(whole.Encode(), merged.Encode());
    }

    [Fact]
    public void A_cell_overlaps_only_when_visited_again_after_more_than_sixty_seconds()
    {
        var tile = new CoverageTile();
        tile.Visit(7, 0, 0, 1_000_060);
        tile.Visit(7, 0, 0, 1_000_000);
        tile.Visit(7, 1, 1, 1_000_000);
        tile.Visit(7, 1, 1, 1_000_061);

        Assert.Equal(2, tile.CoveredByRow()[7]);
        Assert.Equal(1, tile.OverlappedByRow()[7]);
    }

    [Fact]
    public void A_run_of_any_length_anywhere_is_visited_as_its_cells_are_one_by_one()
    {
        var random = new Random(4);
        var (inRuns, oneByOne) = (new CoverageTile(), new CoverageTile());
        for (var first = 0; first < CoverageTile.Side; first++)
        for (var last = first; last < CoverageTile.Side; last++)
        {
            var (row, seconds) = (
                random.Next(64),
                random.Next(7) == 0 ? random.NextInt64(-5, 1L << 33) : random.Next(1_000)
            );
            inRuns.Visit(row, first, last, seconds);
            for (var column = first; column <= last; column++)
                oneByOne.Visit(row, column, column, seconds);
            if (first == last)
                Assert.Equal(oneByOne.Encode(), inRuns.Encode());
        }
        Assert.Equal(oneByOne.Encode(), inRuns.Encode());
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void A_tile_worked_to_and_fro_is_stored_in_two_kilobytes_at_most(bool alongRows)
    {
        var tile = new CoverageTile();
        for (var across = 0; across < CoverageTile.Side; across++)
        for (var along = 0; along < CoverageTile.Side; along++)
        {
            var pass = across / 9;
            var driven = pass % 2 == 0 ? along : CoverageTile.Side - along;
            var seconds = 1_776_000_000 + pass * 90 + driven / 2;
            var (row, column) = alongRows ? (across, along) : (along, across);
            tile.Visit(row, column, column, seconds);
        }

        Assert.InRange(tile.Encode().Length, 100, 2_048);
    }

    [Fact]
    public void Damaged_bytes_are_a_format_error_or_another_tile_and_nothing_else()
    {
        var stored = Scattered(300, seed: 9).Encode();
        var random = new Random(9);
        for (var attempt = 0; attempt < 3_000; attempt++)
        {
            var damaged = stored[..random.Next(1, stored.Length + 1)];
            damaged[random.Next(damaged.Length)] ^= (byte)(1 << random.Next(8));
            var error = Record.Exception(() => CoverageTile.Decode(damaged));
            Assert.True(error is null or FormatException, error?.ToString());
        }
    }

    private static CoverageTile Scattered(int visits, int seed, Func<int, bool>? taken = null)
    {
        var random = new Random(seed);
        var tile = new CoverageTile();
        for (var visit = 0; visit < visits; visit++)
        {
            var (row, column, seconds) = (random.Next(64), random.Next(64), 1_776_000_000 + random.Next(500));
            if (taken?.Invoke(visit) ?? true)
                tile.Visit(row, column, column, seconds);
        }
        return tile;
    }
}
