using CsCheck;
using MathNet.Numerics.Distributions;
using MathNet.Numerics.LinearAlgebra;
using NutrientLedger.Agronomy.Balance;

namespace NutrientLedger.Tests.Agronomy.Balance;

public sealed class ReconciliationTests
{
    [Fact]
    public void What_is_reconciled_satisfies_every_balance() =>
        SomeNetworks
            .Of(unmeasuredOneIn: 4)
            .Sample(network =>
            {
                var result = Reconciliation.Of(network.Flows, network.Balances);
                foreach (var balance in network.Balances)
                {
                    var terms = balance.Terms.Where(term => term.Factor != 0).ToArray();
                    if (terms.All(term => result[term.Flow].Amount is not null))
                        Assert.Equal(0, terms.Sum(term => term.Factor * result[term.Flow].Amount!.Value), 1e-7);
                }
            });

    [Fact]
    public void No_measurement_is_less_certain_afterwards() =>
        SomeNetworks
            .Of(unmeasuredOneIn: 4)
            .Sample(network =>
            {
                var result = Reconciliation.Of(network.Flows, network.Balances);
                for (var flow = 0; flow < network.Flows.Length; flow++)
                {
                    if (network.Flows[flow].StandardDeviation is { } before)
                        Assert.True(result.Flows[flow].StandardDeviation <= before * (1 + 1e-9));
                }
            });

    [Fact]
    public void Reconciling_what_is_reconciled_moves_nothing() =>
        SomeNetworks
            .Of(unmeasuredOneIn: 5)
            .Sample(network =>
            {
                var once = Reconciliation.Of(network.Flows, network.Balances);
                var again = Reconciliation.Of(
                    [
                        .. network.Flows.Select(flow =>
                            flow.Amount is null
                                ? flow
                                : Flow.Measured(flow.Name, once[flow.Name].Amount!.Value, flow.StandardDeviation!.Value)
                        ),
                    ],
                    network.Balances
                );
                Assert.Equal(0, again.ChiSquare, 1e-9);
                foreach (var flow in once.Flows.Where(flow => flow.Amount is not null))
                    Assert.Equal(flow.Amount!.Value, again[flow.Name].Amount!.Value, 1e-7);
            });

    // The same minimum by Lagrange multipliers: [V⁻¹ Aᵀ; A 0]·[x; λ] = [V⁻¹y; c], where an unmeasured flow has no
    // weight.
    [Fact]
    public void The_result_agrees_with_Lagrange_multipliers() =>
        SomeNetworks
            .Of(unmeasuredOneIn: 4)
            .Where(network => network.Matrix.Rank() == network.Balances.Length)
            .Sample(network =>
            {
                var result = Reconciliation.Of(network.Flows, network.Balances);
                if (result.Flows.Any(flow => flow.Amount is null))
                    return;
                var (n, m) = (network.Flows.Length, network.Balances.Length);
                double Weight(Flow flow) => flow.StandardDeviation is { } s ? 1 / (s * s) : 0;
                var system = Matrix<double>.Build.Dense(n + m, n + m);
                var right = Vector<double>.Build.Dense(n + m);
                for (var flow = 0; flow < n; flow++)
                {
                    system[flow, flow] = Weight(network.Flows[flow]);
                    right[flow] = Weight(network.Flows[flow]) * (network.Flows[flow].Amount ?? 0);
                }
                system.SetSubMatrix(n, 0, network.Matrix);
                system.SetSubMatrix(0, n, network.Matrix.Transpose());
                right.SetSubVector(n, m, network.Totals);
                var expected = system.Solve(right);
                for (var flow = 0; flow < n; flow++)
                    Assert.Equal(expected[flow], result.Flows[flow].Amount!.Value, 1e-6);
            });

    [Fact]
    public void An_unmeasured_flow_is_the_same_as_one_measured_with_boundless_error() =>
        SomeNetworks
            .Of(unmeasuredOneIn: 4)
            .Sample(network =>
            {
                var plain = Reconciliation.Of(network.Flows, network.Balances);
                var vague = Reconciliation.Of(
                    [.. network.Flows.Select(flow => flow.Amount is null ? Flow.Measured(flow.Name, 0, 1e5) : flow)],
                    network.Balances
                );
                foreach (var flow in plain.Flows.Where(flow => flow.Amount is not null))
                    Assert.Equal(flow.Amount!.Value, vague[flow.Name].Amount!.Value, 1e-3);
            });

    [Fact]
    public void A_balance_written_twice_changes_nothing() =>
        SomeNetworks
            .Of(unmeasuredOneIn: 5)
            .Sample(network =>
            {
                var once = Reconciliation.Of(network.Flows, network.Balances);
                var twice = Reconciliation.Of(network.Flows, [.. network.Balances, network.Balances[0]]);
                Assert.Equal(once.DegreesOfFreedom, twice.DegreesOfFreedom);
                Assert.Equal(once.ChiSquare, twice.ChiSquare, 1e-7 * (1 + once.ChiSquare));
            });

    // The mean of a χ² value is its degrees of freedom, 2, and its variance is 4. Over 4,000 seasons the mean's
    // standard error is 0.032. 5 % of the seasons (200, standard deviation 14) are contradicted at 95 %.
    [Fact]
    public void Honest_measurements_are_contradicted_no_more_often_than_stated()
    {
        var noise = new Normal(0, 1, new Random(20261124));
        var (sum, contradicted) = (0.0, 0);
        for (var season = 0; season < 4_000; season++)
        {
            Flow Around(string name, double truth, double deviation) =>
                Flow.Measured(name, truth + deviation * noise.Sample(), deviation);
            var result = Reconciliation.Of(
                [
                    Around("start", 3_000, 30),
                    Around("end", 400, 20),
                    Around("west", 1_500, 15),
                    Around("east", 1_100, 15),
                    Around("pump", 2_600, 40),
                ],
                [FlowBalance.Of("pit", ["start"], ["pump", "end"]), FlowBalance.Of("hose", ["pump"], ["west", "east"])]
            );
            sum += result.ChiSquare;
            contradicted += result.IsContradicted(0.95) ? 1 : 0;
        }
        Assert.InRange(sum / 4_000, 2 - 0.16, 2 + 0.16);
        Assert.InRange(contradicted, 130, 270);
    }

    [Fact]
    public void Errors_that_go_together_are_shared_and_not_averaged_out()
    {
        Flow[] flows = [Flow.Measured("a", 10, 1), Flow.Measured("b", 13, 1)];
        FlowBalance[] same = [FlowBalance.Of("same", ["a"], ["b"])];

        var apart = Reconciliation.Of(flows, same);
        var together = Reconciliation.Of(flows, same, [new("a", "b", 0.9)]);

        // Mean of two readings with correlation r: variance (1 + r)/2; of their difference: 2(1 − r).
        Assert.Equal(0.5, apart.Covariance("a", "a"), 1e-9);
        Assert.Equal(0.95, together.Covariance("a", "a"), 1e-9);
        Assert.Equal(9 / 2.0, apart.ChiSquare, 1e-9);
        Assert.Equal(9 / 0.2, together.ChiSquare, 1e-9);
    }

    [Fact]
    public void A_known_total_is_the_constant_of_a_balance()
    {
        var result = Reconciliation.Of(
            [Flow.Measured("west", 40, 2), Flow.Measured("east", 66, 1), Flow.Unmeasured("north")],
            [new("hauled", [new("west", 1), new("east", 1)], 100), new("twice", [new("north", 1), new("west", -2)], 5)]
        );
        // The excess of 6 is shared 4 : 1 by the variances.
        Assert.Equal(35.2, result["west"].Amount!.Value, 1e-9);
        Assert.Equal(64.8, result["east"].Amount!.Value, 1e-9);
        Assert.Equal(75.4, result["north"].Amount!.Value, 1e-9);
        Assert.Equal(2 * result["west"].StandardDeviation!.Value, result["north"].StandardDeviation!.Value, 1e-9);
    }

    // Half-width = 1.96 σ: VDI 2048 part 1 (2000) as quoted by the OpenModelica Users Guide, chapter Data
    // Reconciliation (seen); tolerance 1e-4.
    [Fact]
    public void A_half_width_is_1_96_standard_deviations() =>
        Assert.Equal(1, Flow.MeasuredWithin("a", 10, 1.96).StandardDeviation!.Value, 1e-4);

    // The pit of a season: start + inflow + rain − evaporation − drawn = end, drawn = west + east. Invented, in m³.
    [Fact]
    public void A_pit_and_its_fields_are_one_balance_and_a_wrong_meter_is_found()
    {
        ReconciledBalance Season(double west) =>
            Reconciliation.Of(
                [
                    Flow.MeasuredWithin("start", 3_100, 30),
                    Flow.MeasuredWithin("inflow", 900, 60),
                    Flow.MeasuredWithin("rain", 210, 20),
                    Flow.MeasuredWithin("evaporation", 160, 40),
                    Flow.MeasuredWithin("end", 450, 30),
                    Flow.MeasuredWithin("west", west, 20),
                    Flow.MeasuredWithin("east", 1_600, 20),
                    Flow.Unmeasured("drawn"),
                ],
                [
                    FlowBalance.Of("pit", ["start", "inflow", "rain"], ["evaporation", "drawn", "end"]),
                    FlowBalance.Of("fields", ["drawn"], ["west", "east"]),
                ]
            );

        var honest = Season(2_010);
        Assert.False(honest.IsContradicted(0.95));
        Assert.Equal(FlowStatus.Inferred, honest["drawn"].Status);
        Assert.True(honest["drawn"].StandardDeviation < 20 * Math.Sqrt(2) / 1.96);

        var wrong = Season(2_400);
        Assert.True(wrong.IsContradicted(0.95));
        Assert.NotEmpty(wrong.SuspectedFlows(0.95));
    }

    [Fact]
    public void A_flow_that_no_balance_reaches_is_unknown_and_the_rest_is_estimated()
    {
        var result = Reconciliation.Of(
            [Flow.Measured("in", 50, 1), Flow.Unmeasured("west"), Flow.Unmeasured("east"), Flow.Unmeasured("out")],
            [FlowBalance.Of("fork", ["in"], ["west", "east"]), FlowBalance.Of("through", ["in"], ["out"])]
        );
        Assert.Equal(FlowStatus.Unknown, result["west"].Status);
        Assert.Null(result["east"].Amount);
        Assert.Equal(50, result["out"].Amount!.Value, 1e-9);
        Assert.Equal((0, 1.0), (result.DegreesOfFreedom, result.Chance));
        Assert.Empty(result.SuspectedFlows(0.95));
        Assert.Throws<ArgumentException>(() => result.Covariance("in", "east"));
        Assert.Throws<ArgumentOutOfRangeException>(() => result.IsContradicted(95));
    }

    [Fact]
    public void Impossible_inputs_are_rejected_by_name()
    {
        Flow[] two = [Flow.Measured("a", 1, 1), Flow.Measured("b", 2, 1)];
        string ErrorOf(Flow[] flows, FlowBalance[] balances, params FlowCovariance[] covariances) =>
            Assert.ThrowsAny<ArgumentException>(() => Reconciliation.Of(flows, balances, covariances)).Message;
        void Says(string part, string error) => Assert.Contains(part, error, StringComparison.Ordinal);
        var same = FlowBalance.Of("same", ["a"], ["b"]);

        Says("'same'", ErrorOf(two, [same with { Total = double.NaN }]));
        Says("'c'", ErrorOf(two, [FlowBalance.Of("odd", ["a"], ["c"])]));
        Says("Two flows are named 'a'", ErrorOf([two[0], two[0]], [same]));
        Says("at least one measured", ErrorOf([Flow.Unmeasured("a"), Flow.Unmeasured("b")], [same]));
        Says("at least one measured", ErrorOf(two, []));
        Says("negative variance", ErrorOf(two, [same], new FlowCovariance("a", "b", 1.5)));
        Says("two different measured", ErrorOf(two, [same], new FlowCovariance("a", "a", 0.5)));
        Says("contradict", ErrorOf(two, [same, same with { Total = 3 }]));
        Says("contradict", ErrorOf(two, [same, new("nothing", [], 3)]));
        Assert.Throws<ArgumentException>(() => Flow.Measured("a", 1, 0));
        Assert.Throws<ArgumentException>(() => Flow.Measured("a", double.NaN, 1));
    }
}
