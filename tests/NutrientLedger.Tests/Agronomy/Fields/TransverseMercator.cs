namespace NutrientLedger.Tests.Agronomy.Fields;

/// <summary>
/// From eastings and northings back to degrees: Krüger's series in the third flattening n, as in C. F. F. Karney,
/// "Transverse Mercator with an accuracy of a few nanometers", J. Geodesy 85 (2011), equations 15 and 36 (coefficients
/// from memory; a wrong one would fail the published areas of GeodesicPolygonTests).
/// </summary>
internal static class TransverseMercator
{
    private const double Scale = 0.9996;

    private const double FalseEasting = 500000;

    private const double CentralMeridian = -75;

    private const double N = GeodesicLine.F / (2 - GeodesicLine.F);

    private static readonly double E = Math.Sqrt(GeodesicLine.F * (2 - GeodesicLine.F));

    private static readonly double RectifyingRadius = GeodesicLine.A / (1 + N) * (1 + N * N / 4 + N * N * N * N / 64);

    private static readonly double[] Beta =
    [
        N * (1 / 2.0 + N * (-2 / 3.0 + N * (37 / 96.0 + N * (-1 / 360.0 - N * 81 / 512)))),
        N * N * (1 / 48.0 + N * (1 / 15.0 + N * (-437 / 1440.0 + N * 46 / 105))),
        N * N * N * (17 / 480.0 + N * (-37 / 840.0 - N * 209 / 4480)),
        N * N * N * N * (4397 / 161280.0 - N * 11 / 504),
    ];

    public static (double Latitude, double Longitude) Zone18North(double easting, double northing)
    {
        var xi = northing / (Scale * RectifyingRadius);
        var eta = (easting - FalseEasting) / (Scale * RectifyingRadius);
        var (xiPrime, etaPrime) = (xi, eta);
        for (var j = 1; j <= Beta.Length; j++)
        {
            xiPrime -= Beta[j - 1] * Math.Sin(2 * j * xi) * Math.Cosh(2 * j * eta);
            etaPrime -= Beta[j - 1] * Math.Cos(2 * j * xi) * Math.Sinh(2 * j * eta);
        }
        var longitude = Math.Atan2(Math.Sinh(etaPrime), Math.Cos(xiPrime));
        var conformal = Math.Asin(Math.Sin(xiPrime) / Math.Cosh(etaPrime));
        return (Latitude(conformal) * 180 / Math.PI, CentralMeridian + longitude * 180 / Math.PI);
    }

    // asinh tan φ − e·artanh(e·sin φ) = asinh tan χ, solved by iteration; each step gains two digits.
    private static double Latitude(double conformal)
    {
        var isometric = Math.Asinh(Math.Tan(conformal));
        var latitude = conformal;
        for (var step = 0; step < 12; step++)
            latitude = Math.Atan(Math.Sinh(isometric + E * Math.Atanh(E * Math.Sin(latitude))));
        return latitude;
    }
}
