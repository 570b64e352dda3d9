namespace NutrientLedger.Agronomy.Emission;

/// <summary>
/// Rates per hour: emission from the fast pool, passage to the slow pool, emission from the slow pool.
/// </summary>
public readonly record struct EmissionRates(double FastPerHour, double PassagePerHour, double SlowPerHour);

/// <summary>
/// Ammonium nitrogen on the ground, kg/ha. The fast pool is lost quickly; soil and depth hold the slow pool back.
/// </summary>
public readonly record struct AmmoniumPools(double FastKilogramsPerHectare, double SlowKilogramsPerHectare)
{
    public double SumKilogramsPerHectare => FastKilogramsPerHectare + SlowKilogramsPerHectare;

    /// <summary>
    /// The pools after hours of constant rates: dF/dt = −(r1 + r2)·F, dS/dt = r2·F − r3·S. The closed solution
    /// (Atmospheric Environment 199:474–484, 2019), with a = r1 + r2, is F = F0·e^(−a·t) and
    /// S = S0·e^(−r3·t) + r2·F0·(e^(−a·t) − e^(−r3·t))/(r3 − a).
    /// </summary>
    internal AmmoniumPools After(EmissionRates rates, double hours)
    {
        var leaving = rates.FastPerHour + rates.PassagePerHour;
        var fast = FastKilogramsPerHectare * Math.Exp(-leaving * hours);
        var kept = SlowKilogramsPerHectare * Math.Exp(-rates.SlowPerHour * hours);
        // The quotient in a form that does not overflow and keeps its digits where both exponents are nearly equal.
        var slower = Math.Min(leaving, rates.SlowPerHour);
        var apart = Math.Abs(rates.SlowPerHour - leaving) * hours;
        var passed =
            rates.PassagePerHour * FastKilogramsPerHectare * hours * Math.Exp(-slower * hours) * MeanDecay(apart);
        return new(fast, kept + passed);
    }

    /// <summary>
    /// Incorporation leaves this share (0 to 1) of the fast pool fast and moves the rest to the slow pool.
    /// </summary>
    internal AmmoniumPools WorkedIn(double shareStayingFast) =>
        new(
            FastKilogramsPerHectare * shareStayingFast,
            SlowKilogramsPerHectare + FastKilogramsPerHectare * (1 - shareStayingFast)
        );

    // (1 − e^(−x))/x for x ≥ 0, by its series where the difference would lose digits.
    private static double MeanDecay(double x) => x < 1e-5 ? 1 - x / 2 + x * x / 6 : (1 - Math.Exp(-x)) / x;
}
