using NutrientLedger.Agronomy.Fields;

namespace NutrientLedger.Tests.Agronomy.Fields;

/// <summary>
/// A closed polygon of geodesic edges on WGS84, for comparison: perimeter in m, area in m² whichever way round.
/// </summary>
internal readonly record struct GeodesicPolygon(double PerimeterMetres, double SquareMetres)
{
    public static GeodesicPolygon Of(params IReadOnlyList<(double Latitude, double Longitude)> corners)
    {
        var (perimeter, area, turned) = (0.0, 0.0, 0.0);
        for (var index = 0; index < corners.Count; index++)
        {
            var (from, to) = (corners[index], corners[(index + 1) % corners.Count]);
            var line = GeodesicLine.Between(from, to);
            perimeter += line.Metres;
            area += line.SquareMetresToEquator;
            turned += Math.IEEERemainder(to.Longitude - from.Longitude, 360);
        }

        // A polygon around a pole encloses the area between its edges and the pole, not the equator.
        var enclosed = Math.Abs(area);
        return new(
            perimeter,
            Math.Abs(turned) > 180 ? 2 * Math.PI * GeodesicLine.AuthalicRadiusSquared - enclosed : enclosed
        );
    }

    public static GeodesicPolygon Of(Ring ring) => Of([.. ring.Corners.Select(Degrees)]);

    public static double SquareMetresOf(Boundary boundary) =>
        boundary.Parts.Sum(part => Of(part.Outer).SquareMetres - part.Holes.Sum(hole => Of(hole).SquareMetres));

    public static (double Latitude, double Longitude) Degrees(GeoPoint point) =>
        (point.LatitudeE7 / 1e7, point.LongitudeE7 / 1e7);
}
