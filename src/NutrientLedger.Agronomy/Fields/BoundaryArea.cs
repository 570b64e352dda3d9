namespace NutrientLedger.Agronomy.Fields;

/// <summary>The area of a boundary in m² on the WGS84 ellipsoid, without its holes. Edges are geodesics.</summary>
public static class BoundaryArea
{
    public static double SquareMetres(Boundary boundary) => boundary.Parts.Sum(SquareMetres);

    private static double SquareMetres(BoundaryPart part) => SquareMetres(part.Outer) - part.Holes.Sum(SquareMetres);

    private static double SquareMetres(Ring ring)
    {
        // Measured from the first corner's parallel instead of the equator, so that no digits are lost in large
        // differences.
        var baseline = FromEquator(ring.Corners[0]);
        var sum = 0.0;
        var p = ring.Corners[^1];
        foreach (var q in ring.Corners)
        {
            sum += UnderEdge(p, q, baseline);
            p = q;
        }
        return Math.Abs(sum);
    }

    // Area between an edge and the baseline's parallel. Let S be the area from the equator, per radian of longitude λ.
    // Along a geodesic, d²S/dλ² = −sin φ·(p² + 3·(dy/dλ)²). Here p is the radius of the parallel and y the way along
    // the meridian (from Clairaut's relation). The trapezoid rule with its first correction is
    // ∫S dλ = Δλ·(S₁+S₂)/2 − Δλ³/12·S″, as computed below. Its error grows with the fifth power of the edge and is far
    // below 1e-9 of any field.
    private static double UnderEdge(GeoPoint p, GeoPoint q, double baseline)
    {
        var scale = GroundScale.Between(p, q);
        var north = scale.North(p, q);
        var east = scale.East(p, q);
        var turn = ((double)q.LongitudeE7 - p.LongitudeE7) * GeoPoint.RadiansPerStep;
        var middle = ((double)p.LatitudeE7 + q.LatitudeE7) / 2 * GeoPoint.RadiansPerStep;
        var trapezoid = (FromEquator(p) + FromEquator(q)) / 2 - baseline;
        var bulge = Math.Sin(middle) * (east * east + 3 * north * north) / 12;
        return turn * (trapezoid + bulge);
    }

    private static double FromEquator(GeoPoint point) =>
        Ellipsoid.SquareMetresFromEquator(point.LatitudeE7 * GeoPoint.RadiansPerStep);
}
