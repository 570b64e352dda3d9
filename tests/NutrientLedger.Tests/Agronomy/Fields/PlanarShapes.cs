using NetTopologySuite.Geometries;
using NutrientLedger.Agronomy.Fields;

namespace NutrientLedger.Tests.Agronomy.Fields;

/// <summary>
/// Boundaries as shapes of NetTopologySuite for comparison, in whole 1e-7 degrees counted from an origin so that the
/// library's doubles hold them exactly.
/// </summary>
internal static class PlanarShapes
{
    private static readonly GeometryFactory Shapes = new();

    public static Geometry Of(Boundary boundary, GeoPoint origin) =>
        Shapes.CreateMultiPolygon([
            .. boundary.Parts.Select(part =>
                Shapes.CreatePolygon(Of(part.Outer, origin), [.. part.Holes.Select(hole => Of(hole, origin))])
            ),
        ]);

    public static Point Of(GeoPoint point, GeoPoint origin) => Shapes.CreatePoint(Place(point, origin));

    private static LinearRing Of(Ring ring, GeoPoint origin) =>
        Shapes.CreateLinearRing([.. ring.Corners.Append(ring.Corners[0]).Select(corner => Place(corner, origin))]);

    private static Coordinate Place(GeoPoint point, GeoPoint origin) =>
        new(point.LongitudeE7 - origin.LongitudeE7, point.LatitudeE7 - origin.LatitudeE7);
}
