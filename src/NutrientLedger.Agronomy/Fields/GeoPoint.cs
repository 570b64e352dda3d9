namespace NutrientLedger.Agronomy.Fields;

/// <summary>
/// A position on the WGS84 ellipsoid in whole 1e-7 degrees (about 11 mm of latitude): latitude −900000000…900000000,
/// longitude −1800000000…1800000000.
/// </summary>
public readonly record struct GeoPoint(int LatitudeE7, int LongitudeE7)
{
    /// <summary>Radians in one step of 1e-7 degree.</summary>
    public const double RadiansPerStep = Math.PI / 180 / 1e7;

    /// <summary>The point halfway in latitude and longitude, rounded towards minus infinity.</summary>
    public static GeoPoint Midpoint(GeoPoint a, GeoPoint b) =>
        new(
            (int)FloorDivision.Divide((long)a.LatitudeE7 + b.LatitudeE7, 2),
            (int)FloorDivision.Divide((long)a.LongitudeE7 + b.LongitudeE7, 2)
        );
}
