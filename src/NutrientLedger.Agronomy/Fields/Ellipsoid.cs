namespace NutrientLedger.Agronomy.Fields;

/// <summary>The WGS84 ellipsoid, on which satellite positions are given; lengths in metres, latitudes in radians.</summary>
public static class Ellipsoid
{
    public const double EquatorialRadiusMetres = 6378137;

    public const double Flattening = 1 / 298.257223563;

    public const double EccentricitySquared = Flattening * (2 - Flattening);

    /// <summary>M: the radius of curvature along the meridian, a(1−e²)/(1−e² sin²φ)^1.5.</summary>
    public static double MeridianRadiusMetres(double latitude)
    {
        var w = Narrowing(latitude);
        return EquatorialRadiusMetres * (1 - EccentricitySquared) / (w * Math.Sqrt(w));
    }

    /// <summary>N: the radius of curvature across the meridian, a/√(1−e² sin²φ).</summary>
    public static double PrimeVerticalRadiusMetres(double latitude) =>
        EquatorialRadiusMetres / Math.Sqrt(Narrowing(latitude));

    /// <summary>
    /// Area between the equator and a latitude for each radian of longitude, in m², negative in the south: the integral of
    /// M·N·cos φ, which is b²/2·(sin φ/(1−e² sin²φ) + artanh(e sin φ)/e).
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
