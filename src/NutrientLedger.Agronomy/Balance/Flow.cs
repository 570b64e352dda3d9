using NutrientLedger.Agronomy.Statistics;

namespace NutrientLedger.Agronomy.Balance;

/// <summary>
/// One amount in a balance of measurements: a volume, a mass, a rate or a stock, all of one balance in one unit. A measured
/// flow has a standard deviation above 0; an unmeasured one has neither.
/// </summary>
public sealed record Flow
{
    private Flow(string name, double? amount, double? standardDeviation) =>
        (Name, Amount, StandardDeviation) = (name, amount, standardDeviation);

    public string Name { get; }

    public double? Amount { get; }

    public double? StandardDeviation { get; }

    /// <exception cref="ArgumentException">The amount is no number, or the deviation not above 0.</exception>
    public static Flow Measured(string name, double amount, double standardDeviation) =>
        double.IsFinite(amount) && double.IsFinite(standardDeviation) && standardDeviation > 0
            ? new(name, amount, standardDeviation)
            : throw new ArgumentException(
                $"Give flow '{name}' a number and a standard deviation above 0; an amount known exactly belongs on the right side of its balance."
            );

    /// <summary>
    /// A flow measured to within ± a half-width that holds the truth in 19 of 20 cases, which is 1.96 standard deviations
    /// (VDI 2048 part 1, 2000).
    /// </summary>
    /// <exception cref="ArgumentException">The amount is no number, or the half-width not above 0.</exception>
    public static Flow MeasuredWithin(string name, double amount, double halfWidth) =>
        Measured(name, amount, halfWidth / Quantiles.TwoSidedNormal(0.95));

    public static Flow Unmeasured(string name) => new(name, null, null);
}

/// <summary>Errors of two measured flows that go together, for example of one meter read twice; in the unit squared.</summary>
public readonly record struct FlowCovariance(string First, string Second, double Covariance);
