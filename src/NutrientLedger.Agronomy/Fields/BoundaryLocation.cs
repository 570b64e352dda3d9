namespace NutrientLedger.Agronomy.Fields;

/// <summary>
/// Whether a point lies in a boundary, exactly, in whole numbers. It does when a ray to the east crosses an odd number
/// of edges over all rings, holes included. The test is half open: a point on the edge between two fields belongs to
/// just one of them.
/// </summary>
public static class BoundaryLocation
{
    public static bool Holds(Boundary boundary, GeoPoint point)
    {
        var odd = false;
        foreach (var part in boundary.Parts)
        {
            odd ^= CrossesOddly(part.Outer, point);
            foreach (var hole in part.Holes)
                odd ^= CrossesOddly(hole, point);
        }
        return odd;
    }

    private static bool CrossesOddly(Ring ring, GeoPoint point)
    {
        var corners = ring.Corners.AsSpan();
        var odd = false;
        var p = corners[^1];
        foreach (var q in corners)
        {
            if ((p.LatitudeE7 > point.LatitudeE7) != (q.LatitudeE7 > point.LatitudeE7))
                odd ^= CrossesEastOf(point, p, q);
            p = q;
        }
        return odd;
    }

    // The crossing lies at lon p + Δlon·(lat m − lat p)/Δlat. For any two positions on Earth, both products stay below
    // 1.8e9 × 3.6e9 = 6.5e18, so they fit in 64 bits. Comparing them avoids the one subtraction that might not fit.
    private static bool CrossesEastOf(GeoPoint m, GeoPoint p, GeoPoint q)
    {
        var rise = (long)q.LatitudeE7 - p.LatitudeE7;
        var reached = ((long)q.LongitudeE7 - p.LongitudeE7) * ((long)m.LatitudeE7 - p.LatitudeE7);
        var asked = ((long)m.LongitudeE7 - p.LongitudeE7) * rise;
        return rise > 0 ? reached > asked : reached < asked;
    }
}
