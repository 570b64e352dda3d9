namespace NutrientLedger.Tests.Agronomy.Fields;

/// <summary>
/// The shortest line between two positions on WGS84: its length and the area between it and the equator (positive for a
/// line that runs east in the north). Written for these tests alone, from the integrals of C. F. F. Karney, "Algorithms
/// for geodesics", J. Geodesy 87 (2013) 43-55. The integrals are evaluated by quadrature and the azimuth is found by
/// bisection, where the paper uses series and Newton's method. Points half way round the Earth are not supported.
/// </summary>
internal readonly record struct GeodesicLine(double Metres, double SquareMetresToEquator)
{
    public const double A = 6378137;

    public const double F = 1 / 298.257223563;

    private const double B = A * (1 - F);

    private const double E2 = F * (2 - F);

    private const double SecondE2 = E2 / (1 - E2);

    /// <summary>Square of the authalic radius, equation 60.</summary>
    public static readonly double AuthalicRadiusSquared =
        A * A / 2 + B * B / 2 * Math.Atanh(Math.Sqrt(E2)) / Math.Sqrt(E2);

    public static GeodesicLine Between((double Latitude, double Longitude) from, (double Latitude, double Longitude) to)
    {
        var turn = Math.IEEERemainder(to.Longitude - from.Longitude, 360);
        var east = turn < 0 ? -1 : 1;
        var (low, high) = Math.Abs(from.Latitude) >= Math.Abs(to.Latitude) ? (from, to) : (to, from);
        var south = low.Latitude > 0 ? -1 : 1;
        var line = Canonical(
            Reduced(south * low.Latitude),
            Reduced(south * high.Latitude),
            Math.Abs(turn) * Math.PI / 180
        );
        return line with { SquareMetresToEquator = line.SquareMetresToEquator * east * south };
    }

    // The lower point lies in the south and at least as far from the equator as the other, which lies to the east.
    private static GeodesicLine Canonical((double Sin, double Cos) beta1, (double Sin, double Cos) beta2, double lambda)
    {
        if (beta1.Sin == 0)
            return new(A * lambda, 0);
        if (lambda == 0 || beta1.Cos == 0)
            return Path.Leaving(0, beta1, beta2).Measured(beta1, beta2, lambda);

        // The longitude reached grows with the azimuth from 0 (due north) to half a turn (due south).
        var (low, high) = (0.0, Math.PI);
        for (var halving = 0; halving < 64; halving++)
        {
            var azimuth = (low + high) / 2;
            if (Path.Leaving(azimuth, beta1, beta2).Longitude < lambda)
                low = azimuth;
            else
                high = azimuth;
        }
        var path = Path.Leaving((low + high) / 2, beta1, beta2);
        return path.Measured(beta1, beta2, lambda + path.Lag);
    }

    // Sine and cosine of the reduced latitude, tan β = (1−f)·tan φ, equation 6.
    private static (double, double) Reduced(double degrees)
    {
        var latitude = degrees * Math.PI / 180;
        var sine = (1 - F) * Math.Sin(latitude);
        var cosine = Math.Abs(degrees) == 90 ? 0 : Math.Cos(latitude);
        var length = Math.Sqrt(sine * sine + cosine * cosine);
        return (sine / length, cosine / length);
    }

    /// <summary>
    /// A geodesic between two reduced latitudes, known by its azimuth at the equator and its arcs from there.
    /// </summary>
    private readonly record struct Path(double SinAlpha0, double CosAlpha0, double Sigma1, double Sigma2, double Omega)
    {
        private double K2 => SecondE2 * CosAlpha0 * CosAlpha0;

        public static Path Leaving(double azimuth, (double Sin, double Cos) beta1, (double Sin, double Cos) beta2)
        {
            var (sine, cosine) = Math.SinCos(azimuth);
            var sinAlpha0 = sine * beta1.Cos; // equation 5
            var across1 = cosine * beta1.Cos;
            // Equation 45, the difference of the squared cosines written as a product.
            var across2 = Math.Sqrt(across1 * across1 + (beta1.Sin - beta2.Sin) * (beta1.Sin + beta2.Sin));
            var sigma1 = Math.Atan2(beta1.Sin, across1); // equation 11
            var sigma2 = Math.Atan2(beta2.Sin, across2);
            var omega1 = Math.Atan2(sinAlpha0 * beta1.Sin, across1); // equation 12
            var omega2 = Math.Atan2(sinAlpha0 * beta2.Sin, across2);
            return new(sinAlpha0, Math.Sqrt(1 - sinAlpha0 * sinAlpha0), sigma1, sigma2, omega2 - omega1);
        }

        public double Longitude => Omega - Lag;

        // Equation 8: how far the longitude on the ellipsoid stays behind that on the sphere.
        public double Lag
        {
            get
            {
                var k2 = K2;
                return F
                    * SinAlpha0
                    * GaussLegendre.Integrate(
                        Sigma1,
                        Sigma2,
                        sigma => (2 - F) / (1 + (1 - F) * Math.Sqrt(1 + k2 * Squared(Math.Sin(sigma))))
                    );
            }
        }

        public GeodesicLine Measured((double Sin, double Cos) beta1, (double Sin, double Cos) beta2, double omega)
        {
            var k2 = K2;
            // Equation 7.
            var arc = GaussLegendre.Integrate(Sigma1, Sigma2, sigma => Math.Sqrt(1 + k2 * Squared(Math.Sin(sigma))));
            // Equations 58 and 59, with the spherical excess of equation 64 in place of α₂ − α₁.
            var (latitude1, latitude2) = (Math.Atan2(beta1.Sin, beta1.Cos), Math.Atan2(beta2.Sin, beta2.Cos));
            var excess =
                2
                * Math.Atan(
                    Math.Tan(omega / 2) * Math.Sin((latitude1 + latitude2) / 2) / Math.Cos((latitude2 - latitude1) / 2)
                );
            var flattened = GaussLegendre.Integrate(
                Sigma1,
                Sigma2,
                sigma => -SteepnessOfT(SecondE2, k2 * Squared(Math.Sin(sigma))) * Math.Sin(sigma) / 2
            );
            return new(B * arc, AuthalicRadiusSquared * excess + E2 * A * A * CosAlpha0 * SinAlpha0 * flattened);
        }
    }

    // (t(x) − t(y))/(x − y) for t(x) = x + √(1 + 1/x)·asinh √x, by its power series
    // t = x + 1 + x/3 − 2x²/15 + 8x³/105 − …, in which each difference of powers divides without loss of digits.
    private static double SteepnessOfT(double x, double y)
    {
        var (sum, coefficient, powersOfX, quotient) = (1.0, 1.0 / 3, 1.0, 1.0);
        for (var n = 1; n <= 9; n++)
        {
            sum += coefficient * quotient;
            coefficient *= -2.0 * n / (2 * n + 3);
            powersOfX *= x;
            quotient = powersOfX + y * quotient;
        }
        return sum;
    }

    private static double Squared(double value) => value * value;
}
