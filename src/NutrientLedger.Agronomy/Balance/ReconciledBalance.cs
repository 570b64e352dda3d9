using System.Collections.Immutable;
using MathNet.Numerics.LinearAlgebra;
using NutrientLedger.Agronomy.Statistics;

namespace NutrientLedger.Agronomy.Balance;

/// <summary>
/// Flows that satisfy every balance and lie as near the measurements as their standard deviations allow, with the tests that
/// tell whether chance can explain how far they had to move.
/// </summary>
public sealed class ReconciledBalance
{
    private readonly Matrix<double> covariance;

    internal ReconciledBalance(
        ImmutableArray<ReconciledFlow> flows,
        Matrix<double> covariance,
        double chiSquare,
        int degreesOfFreedom
    )
    {
        Flows = flows;
        this.covariance = covariance;
        ChiSquare = chiSquare;
        DegreesOfFreedom = degreesOfFreedom;
    }

    /// <summary>In the order in which the flows were given.</summary>
    public ImmutableArray<ReconciledFlow> Flows { get; }

    /// <summary>The global test's figure: the squared adjustments, weighted by the inverse covariance of the measurements.</summary>
    public double ChiSquare { get; }

    /// <summary>The number of independent checks that the balances make on measurements; 0 when they check nothing.</summary>
    public int DegreesOfFreedom { get; }

    /// <summary>The chance of a <see cref="ChiSquare"/> as large as this when all errors are normal and as large as stated.</summary>
    public double Chance => Quantiles.ChanceOfChiSquare(ChiSquare, DegreesOfFreedom);

    public ReconciledFlow this[string flow] => Flows[IndexOf(flow)];

    /// <summary>Covariance of two reconciled flows, in the unit squared.</summary>
    /// <exception cref="ArgumentException">A name is not among the flows, or its flow is unknown.</exception>
    public double Covariance(string first, string second)
    {
        var unknown = new[] { first, second }.FirstOrDefault(flow => this[flow].Status == FlowStatus.Unknown);
        return unknown is null
            ? covariance[IndexOf(first), IndexOf(second)]
            : throw new ArgumentException($"Flow '{unknown}' is unknown, so it has no covariance.");
    }

    /// <summary>Whether the measurements contradict the balances by more than chance at this confidence (a share, such as 0.95).</summary>
    public bool IsContradicted(double confidence) => Chance < 1 - Quantiles.Share(confidence);

    /// <summary>
    /// Beyond how many standard deviations of its adjustment a flow moved further than chance explains. With n flows tested, each
    /// is held to Šidák's level confidence^(1/n), so that all together raise a false alarm with chance 1 − confidence only. Nothing
    /// when no flow can be tested.
    /// </summary>
    public double? AdjustmentLimit(double confidence) =>
        Flows.Count(flow => flow.NormalizedAdjustment is not null) is > 0 and var tested
            ? Quantiles.TwoSidedNormal(Math.Pow(confidence, 1.0 / tested))
            : null;

    /// <summary>Flows that moved further than chance explains, the furthest first.</summary>
    public ImmutableArray<ReconciledFlow> SuspectedFlows(double confidence)
    {
        var limit = AdjustmentLimit(confidence);
        return
        [
            .. Flows
                .Where(flow => flow.NormalizedAdjustment > limit)
                .OrderByDescending(flow => flow.NormalizedAdjustment),
        ];
    }

    private int IndexOf(string flow)
    {
        for (var index = 0; index < Flows.Length; index++)
        {
            if (Flows[index].Name == flow)
                return index;
        }
        throw new ArgumentException($"The balance has no flow named '{flow}'.", nameof(flow));
    }
}
