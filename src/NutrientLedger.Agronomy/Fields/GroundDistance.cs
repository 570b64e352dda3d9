namespace NutrientLedger.Agronomy.Fields;

/// <summary>
/// The distance between two near points by the mid-latitude formula: D = √((M·Δφ)² + (N·cos φ·Δλ)²) with the radii at the
/// middle latitude φ. Up to 2 km and 65 degrees it agrees with the geodesic within 1e-6.
/// </summary>
public static class GroundDistance
{
    public static double Metres(GeoPoint a, GeoPoint b)
    {
        var scale = GroundScale.Between(a, b);
        var north = scale.North(a, b);
        var east = scale.East(a, b);
        return Math.Sqrt(north * north + east * east);
    }
}
