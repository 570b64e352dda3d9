using NutrientLedger.Agronomy.Fields;

namespace NutrientLedger.Tests.Agronomy.Fields;

public sealed class SwathRunsTests
{
    // Edges through cell centres, along the grid and nearly so: there the quick way to a cell run's ends is least
    // reliable.
    [Theory]
    [InlineData(2)]
    [InlineData(3)]
    public void Cell_runs_hold_exactly_the_cells_that_lie_in_the_swath(int seed)
    {
        var random = new Random(seed);
        var (found, empty) = (0, 0);
        for (var count = 0; count < 1_500; count++)
        {
            var grid = CoverageGrid.At(random.Next(-849_999_999, 849_999_999));
            var (stepNorth, stepEast) = (grid.StepLatitudeE7, grid.StepLongitudeE7);
            var a = grid.Centre(
                new(
                    random.Next(-849_000_000, 849_000_000) / stepNorth,
                    random.Next(-1_799_000_000, 1_799_000_000) / stepEast
                )
            );
            if (count % 3 == 0)
                a = new(a.LatitudeE7 + random.Next(stepNorth), a.LongitudeE7 + random.Next(stepEast));
            var (north, east) = (random.Next(-8, 9) * stepNorth, random.Next(-8, 9) * stepEast);
            var b = (count % 5) switch
            {
                0 => new GeoPoint(a.LatitudeE7 + north, a.LongitudeE7),
                1 => a with { LongitudeE7 = a.LongitudeE7 + east },
                2 => new(a.LatitudeE7 + north * 20, a.LongitudeE7 + random.Next(-1, 2)),
                3 => new(a.LatitudeE7 + random.Next(-1, 2), a.LongitudeE7 + east * 20),
                _ => new(a.LatitudeE7 + north, a.LongitudeE7 + east + random.Next(-1, 2)),
            };
            var width = random.Next(4) switch
            {
                0 => random.Next(0, 3),
                1 => (int)
                    Math.Round(new Segment(a, a with { LatitudeE7 = a.LatitudeE7 + 6 * stepNorth }).Metres * 1000),
                2 => (int)
                    Math.Round(new Segment(a, a with { LongitudeE7 = a.LongitudeE7 + 6 * stepEast }).Metres * 1000),
                _ => random.Next(24_000),
            };

            var cells = SomeDrives.Cells(grid, a, b, width);

            Assert.Equal(AskedOneByOne(grid, new(a, b), width), cells);
            found += cells.Count;
            empty += cells.Count == 0 ? 1 : 0;
        }
        Assert.True(found > 30_000 && empty is > 20 and < 750, $"{found} cells, {empty} swaths without any.");
    }

    // The same test in the same arithmetic, but done for every cell far and wide.
    private static IEnumerable<GridCell> AskedOneByOne(CoverageGrid grid, Segment segment, int widthMillimetres)
    {
        var (ux, uy) = (segment.EastwardMetres / segment.Metres, segment.NorthwardMetres / segment.Metres);
        var half = widthMillimetres / 2000.0;
        var (reach, home) = (segment.Metres + half, grid.CellOf(segment.From));
        var rows = (int)(reach / segment.Scale.MetresPerStepNorth / grid.StepLatitudeE7) + 3;
        var columns = (int)(reach / segment.Scale.MetresPerStepEast / grid.StepLongitudeE7) + 3;
        for (var row = home.Row - rows; row <= home.Row + rows && segment.Metres > 0; row++)
        for (var column = home.Column - columns; column <= home.Column + columns; column++)
        {
            var centre = grid.Centre(new(row, column));
            var (x, y) = (segment.Scale.East(segment.From, centre), segment.Scale.North(segment.From, centre));
            var (s, t) = (x * ux + y * uy, x * uy - y * ux);
            if (s >= 0 && s < segment.Metres && t >= -half && t < half)
                yield return new(row, column);
        }
    }
}
