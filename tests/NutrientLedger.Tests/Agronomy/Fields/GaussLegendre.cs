namespace NutrientLedger.Tests.Agronomy.Fields;

/// <summary>
/// Integrals of smooth functions by the 32-point Gauss-Legendre rule, exact for polynomials up to degree 63.
/// </summary>
internal static class GaussLegendre
{
    private const int Points = 32;

    private static readonly (double Node, double Weight)[] Rule =
    [
        .. Enumerable.Range(0, Points).Select(NodeAndWeight),
    ];

    public static double Integrate(double from, double to, Func<double, double> integrand)
    {
        var middle = (from + to) / 2;
        var half = (to - from) / 2;
        var sum = 0.0;
        foreach (var (node, weight) in Rule)
            sum += weight * integrand(middle + half * node);
        return sum * half;
    }

    // The nodes are the roots of the Legendre polynomial, found by Newton's method from the usual cosine start.
    private static (double, double) NodeAndWeight(int index)
    {
        var x = Math.Cos(Math.PI * (index + 0.75) / (Points + 0.5));
        for (var step = 0; step < 8; step++)
        {
            var (value, slope) = Legendre(x);
            x -= value / slope;
        }
        var derivative = Legendre(x).Slope;
        return (x, 2 / ((1 - x * x) * derivative * derivative));
    }

    private static (double Value, double Slope) Legendre(double x)
    {
        var (before, value) = (1.0, x);
        for (var degree = 2; degree <= Points; degree++)
            (before, value) = (value, ((2 * degree - 1) * x * value - (degree - 1) * before) / degree);
        return (value, Points * (before - x * value) / (1 - x * x));
    }
}
