using NetTopologySuite.Geometries;
using NetTopologySuite.Operation.OverlayNG;
using NutrientLedger.Agronomy.Fields;

namespace NutrientLedger.Tests.Agronomy.Fields;

/// <summary>
/// Invented drives of a tool over the ground, reported every few metres. One seed always gives the same drives.
/// </summary>
internal sealed class SomeDrives(int seed)
{
    private readonly Random random = new(seed);

    public double Metres(double shortest, double longest) => shortest + (longest - shortest) * random.NextDouble();

    public int WidthMillimetres() => random.Next(3_000, 24_000);

    public GeoPoint Start() => new(random.Next(-650_000_000, 650_000_000), random.Next(-1_700_000_000, 1_700_000_000));

    public double Heading() => 2 * Math.PI * random.NextDouble();

    /// <summary>A drive that turns by a given angle each metre; straight when the angle is 0.</summary>
    public static List<GeoPoint> Drive(GeoPoint start, double heading, double length, double turnPerMetre)
    {
        const double StepMetres = 3;
        var (east, north) = (0.0, 0.0);
        List<GeoPoint> points = [start];
        for (var driven = StepMetres; driven <= length; driven += StepMetres)
        {
            var direction = heading + turnPerMetre * (driven - StepMetres / 2);
            east += StepMetres * Math.Cos(direction);
            north += StepMetres * Math.Sin(direction);
            points.Add(SomeFields.Moved(start, east, north));
        }
        return points;
    }

    public static HashSet<GridCell> Cells(CoverageGrid grid, IReadOnlyList<GeoPoint> drive, int widthMillimetres) =>
        [
            .. drive
                .Zip(drive.Skip(1))
                .SelectMany(segment => Cells(grid, segment.First, segment.Second, widthMillimetres)),
        ];

    /// <summary>The cells of one swath, cell run by cell run.</summary>
    public static List<GridCell> Cells(CoverageGrid grid, GeoPoint a, GeoPoint b, int widthMillimetres)
    {
        var cells = new List<GridCell>();
        foreach (var run in new Swath(grid, new(a, b), widthMillimetres))
            for (var column = run.FirstColumn; column <= run.LastColumn; column++)
                cells.Add(new(run.Row, column));
        return cells;
    }

    public static double SquareMetres(CoverageGrid grid, IEnumerable<GridCell> cells) =>
        cells.Sum(cell => grid.CellSquareMetres(cell.Row));

    /// <summary>The union of the rectangles of a drive in metres from an origin, by NetTopologySuite.</summary>
    public static Geometry Ground(GeoPoint origin, IReadOnlyList<GeoPoint> drive, int widthMillimetres)
    {
        var rectangles = drive
            .Zip(drive.Skip(1))
            .Select(segment => Rectangle(origin, segment.First, segment.Second, widthMillimetres));
        return OverlayNGRobust.Union(rectangles);
    }

    private static Polygon Rectangle(GeoPoint origin, GeoPoint a, GeoPoint b, int widthMillimetres)
    {
        // Radii of curvature are written out again, so that the comparison uses nothing that it checks.
        var latitude = origin.LatitudeE7 / 1e7 * Math.PI / 180;
        var e2 = GeodesicLine.F * (2 - GeodesicLine.F);
        var w = Math.Sqrt(1 - e2 * Math.Sin(latitude) * Math.Sin(latitude));
        var step = Math.PI / 180 / 1e7;
        var (northScale, eastScale) = (
            GeodesicLine.A * (1 - e2) / (w * w * w) * step,
            GeodesicLine.A / w * Math.Cos(latitude) * step
        );
        Coordinate At(GeoPoint point) =>
            new(
                eastScale * (point.LongitudeE7 - origin.LongitudeE7),
                northScale * (point.LatitudeE7 - origin.LatitudeE7)
            );

        var (from, to) = (At(a), At(b));
        var length = from.Distance(to);
        var (sideX, sideY) = (
            (to.Y - from.Y) / length * widthMillimetres / 2000,
            -(to.X - from.X) / length * widthMillimetres / 2000
        );
        Coordinate[] corners =
        [
            new(from.X + sideX, from.Y + sideY),
            new(to.X + sideX, to.Y + sideY),
            new(to.X - sideX, to.Y - sideY),
            new(from.X - sideX, from.Y - sideY),
        ];
        return GeometryFactory.Default.CreatePolygon([.. corners, corners[0]]);
    }
}
