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

    [Theory]
    [InlineData(0, 1)]
    [InlineData(19, 1)]
    [InlineData(20, 2)]
    [InlineData(89_999, 4_500)]
    [InlineData(-1, 1)]
    [InlineData(long.MaxValue / 2, ushort.MaxValue)]
    public void A_visit_is_in_a_step_of_twenty_seconds_since_the_day_began(long secondsOfDay, int step) =>
        Assert.Equal(step, CoverageTile.Step(1_776_000_000 + secondsOfDay, 1_776_000_000));

    [Fact]
    public void A_run_of_any_length_anywhere_is_visited_as_its_cells_are_one_by_one()
    {
        var random = new Random(4);
        var (inRuns, oneByOne) = (new CoverageTile(), new CoverageTile());
        for (var first = 0; first < CoverageTile.Side; first++)
        for (var last = first; last < CoverageTile.Side; last++)
        {
            var (row, step) = (random.Next(64), (ushort)random.Next(1, random.Next(7) == 0 ? 1 << 16 : 1_000));
            inRuns.Visit(row, first, last, step);
            for (var column = first; column <= last; column++)
                oneByOne.Visit(row, column, column, step);
            if (first == last)
                Assert.Equal(oneByOne.Encode(), inRuns.Encode());
        }
        Assert.Equal(oneByOne.Encode(), inRuns.Encode());
    }

    /// <summary>Measured: 185 bytes straight, 277 bytes slanted and uneven.</summary>
    [Theory]
    [InlineData(0, 0, 200)]
    [InlineData(35, 0.02, 300)]
    public void Tiles_of_a_worked_field_are_stored_in_a_few_hundred_bytes(double degrees, double noise, double bytesMax)
    {
        var around = Some.Square(-Some.SideE7 * 5, -Some.SideE7 * 5, Some.SideE7 * 10);
        var configuration = Some.Configuration([Some.Farm(), Some.Field(Some.West, around), Some.Applicator()]);
        var work = Some.Posted(configuration, Some.Batch(new FieldWork(degrees, noise).Drive()));

        var tiles = work.Tiles;

        Assert.InRange(tiles.Count, 40, 60);
        Assert.InRange(tiles.Values.Average(stored => stored.Length), 100, bytesMax);
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
            var (row, column, step) = (random.Next(64), random.Next(64), (ushort)random.Next(1, 25));
            if (taken?.Invoke(visit) ?? true)
                tile.Visit(row, column, column, step);
        }
        return tile;
    }
}
