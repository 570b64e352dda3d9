using MathNet.Numerics.LinearAlgebra;

namespace NutrientLedger.Agronomy.Balance;

/// <summary>
/// Weighted least squares under linear balances: x̂ = y − V·Aᵀ(A·V·Aᵀ)⁻¹(A·y − c), Cov x̂ = V − V·Aᵀ(A·V·Aᵀ)⁻¹A·V.
/// Sources: Basic Concepts in Data Reconciliation, NC State University and University of Ottawa, 2003; VDI 2048 part 1,
/// 2000. Unmeasured flows are first projected out of the balances. They then follow from the reconciled flows.
/// </summary>
public static class Reconciliation
{
    // A smaller share of its variance is rounding: then no balance checks the measurement.
    private const double Negligible = 1e-9;

    /// <exception cref="ArgumentException">
    /// A name is unknown or given twice, nothing is measured, the covariances are impossible, or the balances
    /// contradict each other.
    /// </exception>
    public static ReconciledBalance Of(
        IReadOnlyList<Flow> flows,
        IReadOnlyList<FlowBalance> balances,
        IReadOnlyCollection<FlowCovariance>? covariances = null
    )
    {
        var system = new BalanceSystem(flows, balances, covariances ?? []);
        var unmeasured = new UnmeasuredFlows(system);
        var root = RootOf(system.Covariance);
        var (amounts, spread, chiSquare, degreesOfFreedom) = (system.Amounts, system.Covariance * 0, 0.0, 0);
        if (BalanceChecks.Of(unmeasured.Projected(), root) is { } checks)
        {
            // With errors of size 1 (y' = L⁻¹y) and orthonormal rows W the formula above becomes
            // x' = y' + Wᵀ(c' − W·y').
            var missed = checks.Totals - checks.Rows * root.Solve(system.Amounts);
            var moved = checks.Rows * root.Transpose();
            amounts += moved.TransposeThisAndMultiply(missed);
            spread = moved.TransposeThisAndMultiply(moved);
            (chiSquare, degreesOfFreedom) = (missed.DotProduct(missed), missed.Count);
        }
        var (all, covariance) = AllFlows(system, unmeasured, amounts, system.Covariance - spread);
        return new([.. Enumerable.Range(0, flows.Count).Select(Reconciled)], covariance, chiSquare, degreesOfFreedom);

        ReconciledFlow Reconciled(int place)
        {
            var (name, measured) = (flows[place].Name, flows[place].Amount);
            if (measured is null && !unmeasured.Follows(Array.IndexOf(system.Unmeasured, place)))
                return new(name, FlowStatus.Unknown, null, null, null, null);
            var (amount, deviation) = (all[place], Math.Sqrt(Math.Max(0, covariance[place, place])));
            if (measured is null)
                return new(name, FlowStatus.Inferred, null, amount, deviation, null);
            var own = Array.IndexOf(system.Measured, place);
            return spread[own, own] <= Negligible * system.Covariance[own, own]
                ? new(name, FlowStatus.Unchecked, measured, measured, flows[place].StandardDeviation, null)
                : new(
                    name,
                    FlowStatus.Adjusted,
                    measured,
                    amount,
                    deviation,
                    Math.Abs(amount - measured.Value) / Math.Sqrt(spread[own, own])
                );
        }
    }

    // All flows in the given order, as one linear image of the measured ones.
    private static (Vector<double> Amounts, Matrix<double> Covariance) AllFlows(
        BalanceSystem system,
        UnmeasuredFlows unmeasured,
        Vector<double> amounts,
        Matrix<double> covariance
    )
    {
        var image = Matrix<double>.Build.Dense(system.Flows.Count, amounts.Count);
        var constant = Vector<double>.Build.Dense(system.Flows.Count);
        for (var own = 0; own < system.Measured.Length; own++)
            image[system.Measured[own], own] = 1;
        if (unmeasured.Inference() is var (fixedPart, onMeasured))
        {
            for (var own = 0; own < system.Unmeasured.Length; own++)
            {
                image.SetRow(system.Unmeasured[own], onMeasured.Row(own));
                constant[system.Unmeasured[own]] = fixedPart[own];
            }
        }
        return (constant + image * amounts, image * covariance * image.Transpose());
    }

    private static Matrix<double> RootOf(Matrix<double> covariance)
    {
        try
        {
            return covariance.Cholesky().Factor;
        }
        catch (ArgumentException)
        {
            throw new ArgumentException(
                "The covariances are impossible: some sum of these measurements would have a negative variance. Check that each lies within the product of its two standard deviations."
            );
        }
    }
}
