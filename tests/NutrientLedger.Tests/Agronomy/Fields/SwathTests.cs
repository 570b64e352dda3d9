using NetTopologySuite.Geometries;
using NetTopologySuite.Operation.Overlay;
using NetTopologySuite.Operation.OverlayNG;
using NutrientLedger.Agronomy.Fields;

namespace NutrientLedger.Tests.Agronomy.Fields;

public sealed class SwathTests
{
    [Fact]
    public void A_swath_holds_exactly_the_cells_whose_centre_lies_in_it_by_the_rule()
    {
        var drives = new SomeDrives(seed: 1);
        var found = 0;
        for (var count = 0; count < 400; count++)
        {
            var a = drives.Start();
            var grid = CoverageGrid.At(a.LatitudeE7);
            var heading = drives.Heading();
            var metres = drives.Metres(0.05, 30);
            var width = drives.WidthMillimetres();
            var b = SomeFields.Moved(a, metres * Math.Cos(heading), metres * Math.Sin(heading));
            var cells = SomeDrives.Cells(grid, a, b, width);
            Assert.Equal(ByTheRule(grid, a, b, width), cells);
            found += cells.Count;
        }
        Assert.True(found > 10_000, $"Only {found} cells.");
    }

    [Fact]
    public void No_movement_and_no_width_visit_nothing()
    {
        // A drive along the centres of a row: with no width its left and right edge both run through them.
        var grid = new CoverageGrid(90, 122);
        var a = grid.Centre(new(4_666_667, -7_622_950));
        var b = a with { LongitudeE7 = a.LongitudeE7 + 9_000 };
        Assert.NotEmpty(SomeDrives.Cells(grid, a, b, 1));
        Assert.Empty(SomeDrives.Cells(grid, a, b, 0));
        Assert.Empty(SomeDrives.Cells(grid, a, a, 12_000));
    }

    [Theory]
    [InlineData(0, 431)]
    [InlineData(0, -431)]
    [InlineData(307, 0)]
    [InlineData(-307, 0)]
    public void Segments_of_a_straight_drive_along_the_grid_share_no_cell_and_leave_none_out(
        int northStep,
        int eastStep
    )
    {
        var grid = new CoverageGrid(90, 122);
        List<GeoPoint> drive =
        [
            .. Enumerable
                .Range(0, 60)
                .Select(index => new GeoPoint(420_000_000 + index * northStep, -930_000_000 + index * eastStep)),
        ];
        var pieces = drive
            .Zip(drive.Skip(1))
            .SelectMany(segment => SomeDrives.Cells(grid, segment.First, segment.Second, 9_000))
            .ToList();
        Assert.Equal(pieces.Count, pieces.Distinct().Count());
        Assert.Equal(SomeDrives.Cells(grid, drive[0], drive[^1], 9_000).Order(ByRow), pieces.Order(ByRow));
    }

    [Fact]
    public void Neighbouring_passes_edge_to_edge_share_no_cell()
    {
        var grid = new CoverageGrid(90, 122);
        var (a, b) = (new GeoPoint(420_000_000, -930_000_000), new GeoPoint(420_000_000, -929_990_000));
        var first = SomeDrives.Cells(grid, a, b, 9_000).ToHashSet();
        var metres = new Segment(a, a with { LatitudeE7 = a.LatitudeE7 + 810 }).Metres;
        var width = (int)(metres * 1000);
        var second = SomeDrives.Cells(
            grid,
            a with
            {
                LatitudeE7 = 420_000_810,
            },
            b with
            {
                LatitudeE7 = 420_000_810,
            },
            width
        );
        Assert.Empty(first.Intersect(second));
    }

    // Over many drives the cells gained and lost along the edges balance out. The exception is a straight edge nearly
    // along the grid: it gains or loses the same part of a cell over its whole length.
    [Theory]
    [InlineData(false, 5e-3)]
    [InlineData(true, 1e-3)]
    public void Covered_cells_add_up_to_the_union_of_rectangles_of_a_geometry_library(bool curved, double tolerance)
    {
        var drives = new SomeDrives(seed: 77);
        var (cells, ground) = (0.0, 0.0);
        for (var count = 0; count < 60; count++)
        {
            var start = drives.Start();
            var grid = CoverageGrid.At(start.LatitudeE7);
            var width = drives.WidthMillimetres();
            var turn = curved ? 1 / drives.Metres(30, 200) : 0;
            var drive = SomeDrives.Drive(start, drives.Heading(), drives.Metres(100, 400), turn);
            var union = SomeDrives.Ground(start, drive, width);
            var covered = SomeDrives.SquareMetres(grid, SomeDrives.Cells(grid, drive, width));
            AssertWithinACell(union, covered);
            cells += covered;
            ground += union.Area;
        }
        Assert.Equal(1, cells / ground, tolerance);
    }

    [Fact]
    public void Cells_visited_by_two_passes_add_up_to_the_intersection_of_a_geometry_library()
    {
        var drives = new SomeDrives(seed: 78);
        var (cells, ground) = (0.0, 0.0);
        for (var count = 0; count < 60; count++)
        {
            var start = drives.Start();
            var grid = CoverageGrid.At(start.LatitudeE7);
            var width = drives.WidthMillimetres();
            var heading = drives.Heading();
            var apart = drives.Metres(0, 0.9) * width / 1000;
            var neighbour = SomeFields.Moved(start, -apart * Math.Sin(heading), apart * Math.Cos(heading));
            var turn = count % 2 == 0 ? 0 : 1 / drives.Metres(60, 200);
            var first = SomeDrives.Drive(start, heading, 200, turn);
            var second = SomeDrives.Drive(neighbour, heading + 0.02, 200, turn);
            var shared = OverlayNGRobust.Overlay(
                SomeDrives.Ground(start, first, width),
                SomeDrives.Ground(start, second, width),
                SpatialFunction.Intersection
            );
            var twice = SomeDrives.Cells(grid, first, width);
            twice.IntersectWith(SomeDrives.Cells(grid, second, width));
            var overlapped = SomeDrives.SquareMetres(grid, twice);
            AssertWithinACell(shared, overlapped);
            cells += overlapped;
            ground += shared.Area;
        }
        Assert.Equal(1, cells / ground, 3e-3);
    }

    // A cell is counted wrongly only in part, and only if its centre lies within half its diagonal (0.71 m) of the
    // edge: the ground within that distance on one side of an edge of length P is at most P·h + π·h².
    private static void AssertWithinACell(Geometry ground, double cells)
    {
        const double HalfDiagonal = 0.72;
        Assert.Equal(ground.Area, cells, ground.Length * HalfDiagonal + Math.PI * HalfDiagonal * HalfDiagonal);
    }

    private static readonly Comparer<GridCell> ByRow = Comparer<GridCell>.Create(
        (one, other) => (one.Row, one.Column).CompareTo((other.Row, other.Column))
    );

    // The rule of the Ledger's README, "Coverage", written a second time and applied to every cell far and wide.
    private static IEnumerable<GridCell> ByTheRule(CoverageGrid grid, GeoPoint a, GeoPoint b, int widthMillimetres)
    {
        var latitude = (a.LatitudeE7 / 2.0 + b.LatitudeE7 / 2.0) * Math.PI / 180e7;
        var e2 = GeodesicLine.F * (2 - GeodesicLine.F);
        var w = Math.Sqrt(1 - e2 * Math.Sin(latitude) * Math.Sin(latitude));
        var (m, n) = (GeodesicLine.A * (1 - e2) / Math.Pow(w, 3), GeodesicLine.A / w);
        double X(int longitude) => n * Math.Cos(latitude) * ((longitude - a.LongitudeE7) * Math.PI / 180e7);
        double Y(int latitudeE7) => m * ((latitudeE7 - a.LatitudeE7) * Math.PI / 180e7);

        var (dx, dy) = (X(b.LongitudeE7), Y(b.LatitudeE7));
        var length = Math.Sqrt(dx * dx + dy * dy);
        var half = widthMillimetres / 2000.0;
        var reach = (int)(length + half) + 3;
        var home = grid.CellOf(a);
        for (var row = home.Row - reach; row <= home.Row + reach; row++)
        for (var column = home.Column - reach; column <= home.Column + reach; column++)
        {
            var x = X(column * grid.StepLongitudeE7 + grid.StepLongitudeE7 / 2);
            var y = Y(row * grid.StepLatitudeE7 + grid.StepLatitudeE7 / 2);
            var s = (x * dx + y * dy) / length;
            var t = (x * dy - y * dx) / length;
            if (0 <= s && s < length && -half <= t && t < half)
                yield return new(row, column);
        }
    }
}
