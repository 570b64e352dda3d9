using NutrientLedger.Agronomy.Statistics;

namespace NutrientLedger.Agronomy.Balance;

/// <summary>
/// One amount in a balance of measurements: a volume, mass, rate or stock. All flows of one balance have the same unit.
/// A measured flow has an amount and a standard deviation above 0; an unmeasured flow has neither.
/// </summary>
public sealed record Flow
{
    private Flow(string name, double? amount, double? standardDeviation) =>
        (Name, Amount, StandardDeviation) = (name, amount, standardDeviation);

    public string Name { get; }

    public double? Amount { get; }

    public double? StandardDeviation { get; }

    /// <exception cref="ArgumentException">The amount is not finite, or the deviation is not above 0.</exception>
    public static Flow Measured(string name, double amount, double standardDeviation) =>
        double.IsFinite(amount) && double.IsFinite(standardDeviation) && standardDeviation > 0
            ? new(name, amount, standardDeviation)
            : throw new ArgumentException(
                $"Give flow '{name}' a number and a standard deviation above 0; an amount known exactly belongs on the right side of its balance."
            );

    /// <summary>
    /// A flow measured to within ± a half-width that holds the truth in 19 of 20 cases. That is 1.96 standard
    /// deviations (VDI 2048 part 1, 2000).
    /// </summary>
    /// <exception cref="ArgumentException">The amount is not finite, or the half-width is not above 0.</exception>
    public static Flow MeasuredWithin(string name, double amount, double halfWidth) =>
        Measured(name, amount, halfWidth / Quantiles.TwoSidedNormal(0.95));

    public static Flow Unmeasured(string name) => new(name, null, null);
}

/// <summary>
/// The covariance of the errors of two measured flows, in the unit squared. One meter that is read twice is an example.
/// </summary>
public readonly record struct FlowCovariance(string First, string Second, double Covariance);
