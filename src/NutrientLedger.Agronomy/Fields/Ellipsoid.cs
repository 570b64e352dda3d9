namespace NutrientLedger.Agronomy.Fields;

/// <summary>
/// The WGS84 ellipsoid, on which satellite positions are given. Lengths are in metres, latitudes in radians.
/// </summary>
public static class Ellipsoid
{
    public const double EquatorialRadiusMetres = 6378137;

    public const double Flattening = 1 / 298.257223563;

    public const double EccentricitySquared = Flattening * (2 - Flattening);

    /// <summary>
    /// The radii of curvature: along the meridian M = a(1−e²)/(1−e² sin²φ)^1.5, and across it N = a/√(1−e² sin²φ).
    /// </summary>
    public static (double MeridianMetres, double PrimeVerticalMetres) Radii(double latitude)
    {
        var w = Narrowing(latitude);
        var root = Math.Sqrt(w);
        return (EquatorialRadiusMetres * (1 - EccentricitySquared) / (w * root), EquatorialRadiusMetres / root);
    }

    /// <summary>
    /// Area between the equator and a latitude per radian of longitude, in m²; negative in the south. It is the
    /// integral of M·N·cos φ: b²/2·(sin φ/(1−e² sin²φ) + artanh(e sin φ)/e).
    /// </summary>
    public static double SquareMetresFromEquator(double latitude)
    {
        var polarRadius = EquatorialRadiusMetres * (1 - Flattening);
        var e = Math.Sqrt(EccentricitySquared);
        var sine = Math.Sin(latitude);
        return polarRadius * polarRadius / 2 * (sine / Narrowing(latitude) + Math.Atanh(e * sine) / e);
    }

    private static double Narrowing(double latitude)
    {
        var sine = Math.Sin(latitude);
        return 1 - EccentricitySquared * sine * sine;
    }
}
