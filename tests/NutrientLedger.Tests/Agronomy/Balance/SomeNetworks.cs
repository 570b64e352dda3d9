using CsCheck;
using MathNet.Numerics.LinearAlgebra;
using NutrientLedger.Agronomy.Balance;

namespace NutrientLedger.Tests.Agronomy.Balance;

/// <summary>A network of flows and its balances, so that a test can check a reconciliation by other means.</summary>
internal sealed record Network(Flow[] Flows, FlowBalance[] Balances)
{
    public Matrix<double> Matrix =>
        Matrix<double>.Build.Dense(
            Balances.Length,
            Flows.Length,
            (row, column) => Balances[row].Terms.Where(term => term.Flow == Flows[column].Name).Sum(term => term.Factor)
        );

    public Vector<double> Totals => Vector<double>.Build.DenseOfEnumerable(Balances.Select(balance => balance.Total));
}

internal static class SomeNetworks
{
    private static readonly Gen<double> Factor = Gen.Int[-2, 1].Select(n => n == -2 ? 0.0 : n);

    /// <summary>
    /// Two to seven flows, of which about one in <paramref name="unmeasuredOneIn"/> is unmeasured, and one to four
    /// balances.
    /// </summary>
    public static Gen<Network> Of(int unmeasuredOneIn) =>
        from count in Gen.Int[2, 7]
        from rows in Factor.Array[count].Where(row => row.Any(factor => factor != 0)).Array[1, 4]
        from amounts in Gen.Double[-50, 150].Array[count]
        from deviations in Gen.Double[0.1, 9].Array[count]
        from hidden in Gen.Int[1, unmeasuredOneIn].Array[count]
        select new Network(
            [
                .. Enumerable
                    .Range(0, count)
                    .Select(n =>
                        n > 0 && hidden[n] == unmeasuredOneIn
                            ? Flow.Unmeasured($"F{n}")
                            : Flow.Measured($"F{n}", amounts[n], deviations[n])
                    ),
            ],
            [
                .. rows.Select(
                    (row, n) =>
                        new FlowBalance($"B{n}", [.. row.Select((factor, f) => new BalanceTerm($"F{f}", factor))])
                ),
            ]
        );
}
