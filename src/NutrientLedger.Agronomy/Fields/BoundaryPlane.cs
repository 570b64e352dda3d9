using NetTopologySuite.Geometries;

namespace NutrientLedger.Agronomy.Fields;

/// <summary>
/// Boundaries as shapes of the geometry library. The plane has whole 1e-7 degrees, counted from an origin near the
/// boundaries. Its edges are straight exactly as in <see cref="BoundaryLocation"/>.
/// </summary>
internal sealed class BoundaryPlane(GeoPoint origin)
{
    private static readonly GeometryFactory Shapes = new();

    public Geometry Shape(Boundary boundary) =>
        boundary.Parts.Length == 1
            ? Shape(boundary.Parts[0])
            : Shapes.CreateMultiPolygon([.. boundary.Parts.Select(Shape)]);

    public GeoPoint Position(Coordinate coordinate) =>
        new((int)Math.Round(origin.LatitudeE7 + coordinate.Y), (int)Math.Round(origin.LongitudeE7 + coordinate.X));

    private Polygon Shape(BoundaryPart part) => Shapes.CreatePolygon(Shape(part.Outer), [.. part.Holes.Select(Shape)]);

    private LinearRing Shape(Ring ring) =>
        Shapes.CreateLinearRing([.. ring.Corners.Append(ring.Corners[0]).Select(Place)]);

    private Coordinate Place(GeoPoint corner) =>
        new((double)corner.LongitudeE7 - origin.LongitudeE7, (double)corner.LatitudeE7 - origin.LatitudeE7);
}
