using NutrientLedger.Agronomy.Balance;

namespace NutrientLedger.Tests.Agronomy.Balance;

/// <summary>
/// The six-flow network after "Basic Concepts in Data Reconciliation" (NC State University and University of Ottawa,
/// 2003), worked example in a public notebook, seen. Measurements and variances in kt/h: F1 − F2 − F3 = 0, F2 − F4 = 0,
/// F3 − F5 = 0, F4 + F5 − F6 = 0.
/// </summary>
public sealed class PublishedNetworkTests
{
    private static readonly double[] Measured = [110.5, 60.8, 35.0, 68.9, 38.6, 101.4];
    private static readonly double[] Variances = [0.6724, 0.2809, 0.2116, 0.5041, 0.2025, 1.44];

    private static readonly FlowBalance[] Balances =
    [
        FlowBalance.Of("split", ["F1"], ["F2", "F3"]),
        FlowBalance.Of("upper", ["F2"], ["F4"]),
        FlowBalance.Of("lower", ["F3"], ["F5"]),
        FlowBalance.Of("joint", ["F4", "F5"], ["F6"]),
    ];

    private static readonly ReconciledBalance All = Reconcile(1, 2, 3, 4, 5, 6);

    // All flows measured, as printed there; tolerance 1e-7.
    [Theory]
    [InlineData("F1", 103.24010825)]
    [InlineData("F2", 65.41556049)]
    [InlineData("F3", 37.82454776)]
    [InlineData("F4", 65.41556049)]
    [InlineData("F5", 37.82454776)]
    [InlineData("F6", 103.24010825)]
    public void P24_all_measured_flows_are_adjusted_as_printed(string flow, double printed) =>
        Assert.Equal(printed, All[flow].Amount!.Value, 1e-7);

    // All flows measured, as printed there; tolerance 5e-5. One covariance is printed as 0.0693, two digits of 0.0639
    // exchanged. The first printed value for F1 and F3 and our own arithmetic say 0.0639.
    [Theory]
    [InlineData("F1", "F1", 0.1753)]
    [InlineData("F2", "F2", 0.1365)]
    [InlineData("F3", "F3", 0.0890)]
    [InlineData("F4", "F4", 0.1365)]
    [InlineData("F5", "F5", 0.0890)]
    [InlineData("F6", "F6", 0.1753)]
    [InlineData("F1", "F2", 0.1114)]
    [InlineData("F1", "F3", 0.0639)]
    [InlineData("F2", "F3", -0.0251)]
    public void P24_variances_and_covariances_are_as_printed(string first, string second, double printed) =>
        Assert.Equal(printed, All.Covariance(first, second), 5e-5);

    // The same example, derived values (not printed there): J = 221.3343 with 4 degrees of freedom, far above χ²(0.95;
    // 4) = 9.488 (from memory). So these textbook data hold a gross error. Normalized adjustments: 10.30, 12.15, 8.07,
    // 5.75, 2.30, 1.64.
    [Fact]
    public void P24_the_global_test_contradicts_the_textbook_data_and_five_flows_moved_far()
    {
        Assert.Equal(221.3343, All.ChiSquare, 5e-5);
        Assert.Equal(4, All.DegreesOfFreedom);
        Assert.True(All.IsContradicted(0.95));
        double[] moved = [10.30, 12.15, 8.07, 5.75, 2.30, 1.64];
        for (var flow = 0; flow < 6; flow++)
            Assert.Equal(moved[flow], All.Flows[flow].NormalizedAdjustment!.Value, 0.005);
        // Šidák's limit for six flows at 95 % is 2.63: F5 (2.30) is beyond 1.96 alone, but not among six.
        Assert.Equal(["F2", "F1", "F3", "F4"], All.SuspectedFlows(0.95).Select(flow => flow.Name));
    }

    // Some flows not measured, as printed there; tolerance 1e-7 for the adjusted flows and 0.005 for the printed
    // unmeasured ones.
    [Fact]
    public void P25_with_three_flows_measured_the_others_follow()
    {
        var some = Reconcile(1, 3, 5);
        Assert.Equal((FlowStatus.Unchecked, 110.5), (some["F1"].Status, some["F1"].Amount));
        Assert.Equal(36.83955566, some["F3"].Amount!.Value, 1e-7);
        Assert.Equal(36.83955566, some["F5"].Amount!.Value, 1e-7);
        Assert.Equal(73.66, some["F2"].Amount!.Value, 0.005);
        Assert.Equal(73.66, some["F4"].Amount!.Value, 0.005);
        Assert.Equal(110.5, some["F6"].Amount!.Value, 0.005);
        Assert.All(new[] { "F2", "F4", "F6" }, flow => Assert.Equal(FlowStatus.Inferred, some[flow].Status));
        Assert.Equal(1, some.DegreesOfFreedom);
    }

    // χ²(0.95; 3) = 7.81473 (OpenModelica Users Guide, chapter Data Reconciliation, seen); 3.841 and 9.488 for 1 and 4
    // degrees (from memory).
    [Theory]
    [InlineData(1, 3.841, 0.0005)]
    [InlineData(3, 7.81473, 5e-6)]
    [InlineData(4, 9.488, 0.0005)]
    public void A_value_at_the_tables_chi_square_has_a_chance_of_one_in_twenty(
        int degrees,
        double table,
        double tolerance
    )
    {
        // Each balance misses by √(table/degrees) standard deviations, so that the squares add up to the table's value.
        double Chance(double chiSquare)
        {
            var flows = Enumerable
                .Range(0, degrees)
                .Select(n => Flow.Measured($"F{n}", Math.Sqrt(chiSquare / degrees), 1));
            var zero = Enumerable.Range(0, degrees).Select(n => FlowBalance.Of($"B{n}", [$"F{n}"], []));
            return Reconciliation.Of([.. flows], [.. zero]).Chance;
        }
        Assert.True(Chance(table - tolerance) > 0.05);
        Assert.True(Chance(table + tolerance) < 0.05);
    }

    private static ReconciledBalance Reconcile(params int[] measured) =>
        Reconciliation.Of(
            [
                .. Enumerable
                    .Range(1, 6)
                    .Select(n =>
                        measured.Contains(n)
                            ? Flow.Measured($"F{n}", Measured[n - 1], Math.Sqrt(Variances[n - 1]))
                            : Flow.Unmeasured($"F{n}")
                    ),
            ],
            Balances
        );
}
