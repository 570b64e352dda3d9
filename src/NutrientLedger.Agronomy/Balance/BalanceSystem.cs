using MathNet.Numerics.LinearAlgebra;

namespace NutrientLedger.Agronomy.Balance;

/// <summary>
/// Flows and balances as matrices. Rows are balances; columns are measured or unmeasured flows, in the given order. All
/// names are checked here, so that later steps are arithmetic only.
/// </summary>
internal sealed class BalanceSystem
{
    public BalanceSystem(
        IReadOnlyList<Flow> flows,
        IReadOnlyList<FlowBalance> balances,
        IReadOnlyCollection<FlowCovariance> covariances
    )
    {
        Flows = flows;
        Measured = [.. Enumerable.Range(0, flows.Count).Where(flow => flows[flow].Amount is not null)];
        Unmeasured = [.. Enumerable.Range(0, flows.Count).Where(flow => flows[flow].Amount is null)];
        var columns = Columns(flows);
        if (Measured.Length == 0 || balances.Count == 0)
            throw new ArgumentException("A reconciliation needs at least one measured flow and one balance.");

        if (balances.FirstOrDefault(Unfinished) is { } unfinished)
            throw new ArgumentException(
                $"Balance '{unfinished.Name}' has a factor or a total that is not a finite number; correct it."
            );

        var all = Matrix<double>.Build.Dense(balances.Count, flows.Count);
        for (var row = 0; row < balances.Count; row++)
        {
            foreach (var term in balances[row].Terms)
                all[row, Column(columns, term.Flow, $"Balance '{balances[row].Name}'")] += term.Factor;
        }
        OnMeasured = Matrix<double>.Build.DenseOfColumnVectors(Measured.Select(all.Column));
        OnUnmeasured =
            Unmeasured.Length == 0 ? null : Matrix<double>.Build.DenseOfColumnVectors(Unmeasured.Select(all.Column));
        Totals = Vector<double>.Build.DenseOfEnumerable(balances.Select(balance => balance.Total));
        Amounts = Vector<double>.Build.DenseOfEnumerable(Measured.Select(flow => flows[flow].Amount!.Value));
        Covariance = CovarianceOf(columns, covariances);
    }

    public IReadOnlyList<Flow> Flows { get; }

    /// <summary>Indexes of the measured flows among all flows.</summary>
    public int[] Measured { get; }

    /// <summary>Indexes of the unmeasured flows among all flows.</summary>
    public int[] Unmeasured { get; }

    public Matrix<double> OnMeasured { get; }

    public Matrix<double>? OnUnmeasured { get; }

    public Vector<double> Totals { get; }

    public Vector<double> Amounts { get; }

    /// <summary>Covariance of the measured amounts; symmetric and positive definite.</summary>
    public Matrix<double> Covariance { get; }

    private Matrix<double> CovarianceOf(
        Dictionary<string, int> columns,
        IReadOnlyCollection<FlowCovariance> covariances
    )
    {
        var matrix = Matrix<double>.Build.DenseOfDiagonalArray([
            .. Measured.Select(flow => Math.Pow(Flows[flow].StandardDeviation!.Value, 2)),
        ]);
        foreach (var (first, second, covariance) in covariances)
        {
            var one = Array.IndexOf(Measured, Column(columns, first, "A covariance"));
            var other = Array.IndexOf(Measured, Column(columns, second, "A covariance"));
            if (one < 0 || other < 0 || one == other)
                throw new ArgumentException(
                    $"The covariance of '{first}' and '{second}' must join two different measured flows."
                );
            matrix[one, other] = matrix[other, one] = covariance;
        }
        return matrix;
    }

    private static bool Unfinished(FlowBalance balance) =>
        !double.IsFinite(balance.Total) || !balance.Terms.All(term => double.IsFinite(term.Factor));

    private static Dictionary<string, int> Columns(IReadOnlyList<Flow> flows)
    {
        var columns = new Dictionary<string, int>(StringComparer.Ordinal);
        for (var flow = 0; flow < flows.Count; flow++)
        {
            if (!columns.TryAdd(flows[flow].Name, flow))
                throw new ArgumentException($"Two flows are named '{flows[flow].Name}'; give each its own name.");
        }
        return columns;
    }

    private static int Column(Dictionary<string, int> columns, string flow, string who) =>
        columns.TryGetValue(flow, out var column)
            ? column
            : throw new ArgumentException($"{who} names flow '{flow}', which is not among the flows.");
}
