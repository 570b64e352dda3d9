using NutrientLedger.Agronomy.Fields;

namespace NutrientLedger.Tests.Agronomy.Fields;

public sealed class CoverageGridTests
{
    [Theory]
    [InlineData(0, 90)]
    [InlineData(42, 122)] // 90/cos 42° = 121.1, the even neighbours being 120 and 122
    [InlineData(-42, 122)]
    [InlineData(60, 180)]
    public void A_grid_has_even_steps_of_about_one_metre(int latitude, int stepLongitudeE7)
    {
        var grid = CoverageGrid.At(latitude * 10_000_000);
        Assert.Equal(new(90, stepLongitudeE7), grid);
        Assert.Equal(1, grid.CellSquareMetres(grid.CellOf(new(latitude * 10_000_000, 0)).Row), 0.025);
    }

    [Fact]
    public void No_grid_is_placed_at_a_pole()
    {
        var error = Assert.Throws<ArgumentOutOfRangeException>(() => CoverageGrid.At(900_000_000));
        Assert.Contains("85 degrees", error.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Each_position_lies_in_the_cell_that_holds_it_on_both_sides_of_zero()
    {
        var grid = new CoverageGrid(90, 122);
        Assert.Equal(new(0, 0), grid.CellOf(new(0, 0)));
        Assert.Equal(new(-1, -1), grid.CellOf(new(-1, -1)));
        Assert.Equal(new(-1, -1), grid.CellOf(new(-90, -122)));
        Assert.Equal(new(-2, -2), grid.CellOf(new(-91, -123)));
        Assert.Equal(new(-45, -61), grid.Centre(new(-1, -1)));

        var random = new Random(3);
        for (var count = 0; count < 10_000; count++)
        {
            var point = new GeoPoint(
                random.Next(-850_000_000, 850_000_000),
                random.Next(-1_800_000_000, 1_800_000_000)
            );
            var cell = grid.CellOf(point);
            var centre = grid.Centre(cell);
            Assert.Equal(cell, grid.CellOf(centre));
            Assert.InRange(point.LatitudeE7 - centre.LatitudeE7, -45, 44);
            Assert.InRange(point.LongitudeE7 - centre.LongitudeE7, -61, 60);
        }
    }

    [Theory]
    [InlineData(-650_000_000)]
    [InlineData(0)]
    [InlineData(420_000_000)]
    [InlineData(650_000_000)]
    public void The_cells_of_a_block_add_up_to_its_area_on_the_ellipsoid(int latitudeE7)
    {
        var grid = CoverageGrid.At(latitudeE7);
        var firstRow = grid.CellOf(new(latitudeE7, 0)).Row;
        const int Rows = 1000;
        const int Columns = 700;
        var cells = Enumerable.Range(firstRow, Rows).Sum(row => Columns * grid.CellSquareMetres(row));

        // Between two parallels the area is the difference of the areas from the equator, times the longitude angle.
        var turn = Columns * grid.StepLongitudeE7 * GeoPoint.RadiansPerStep;
        double FromEquator(int row) =>
            Ellipsoid.SquareMetresFromEquator(row * grid.StepLatitudeE7 * GeoPoint.RadiansPerStep);
        var block = turn * (FromEquator(firstRow + Rows) - FromEquator(firstRow));
        Assert.Equal(block, cells, 1e-8 * block);
    }
}
