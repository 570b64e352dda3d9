using System.Collections.Immutable;
using MathNet.Numerics.LinearAlgebra;
using NutrientLedger.Agronomy.Statistics;

namespace NutrientLedger.Agronomy.Balance;

/// <summary>
/// Flows that satisfy every balance and lie as near the measurements as their standard deviations allow. Statistical
/// tests show whether chance can explain the adjustments.
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

    /// <summary>The flows, in the order in which they were given.</summary>
    public ImmutableArray<ReconciledFlow> Flows { get; }

    /// <summary>
    /// The statistic of the global test: the squared adjustments, weighted by the inverse covariance of the
    /// measurements.
    /// </summary>
    public double ChiSquare { get; }

    /// <summary>
    /// The number of independent checks that the balances make on measurements; 0 when they check nothing.
    /// </summary>
    public int DegreesOfFreedom { get; }

    /// <summary>
    /// The probability, 0 to 1, of a <see cref="ChiSquare"/> at least this large when all errors are normal and as
    /// large as stated.
    /// </summary>
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

    /// <summary>
    /// Whether the measurements contradict the balances by more than chance at this confidence (a share, such as 0.95).
    /// </summary>
    public bool IsContradicted(double confidence) => Chance < 1 - Quantiles.Share(confidence);

    /// <summary>
    /// The limit of the normalized adjustment, in standard deviations. Chance does not explain a larger one. With n
    /// flows tested, each is tested at Šidák's level confidence^(1/n). So all tests together raise a false alarm with
    /// probability 1 − confidence. Null when no flow can be tested.
    /// </summary>
    public double? AdjustmentLimit(double confidence) =>
        Flows.Count(flow => flow.NormalizedAdjustment is not null) is > 0 and var tested
            ? Quantiles.TwoSidedNormal(Math.Pow(confidence, 1.0 / tested))
            : null;

    /// <summary>The flows that moved further than chance explains, the furthest first.</summary>
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
