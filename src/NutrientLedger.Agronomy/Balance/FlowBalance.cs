using System.Collections.Immutable;

namespace NutrientLedger.Agronomy.Balance;

/// <summary>One flow's part in a balance: +1 for inflow, −1 for outflow, another factor for another unit.</summary>
public readonly record struct BalanceTerm(string Flow, double Factor);

/// <summary>
/// A balance among flows: the sum of factor × flow equals a known total, usually 0. For a pit:
/// start + inflow + rain − evaporation − drawn − end = 0.
/// </summary>
public sealed record FlowBalance(string Name, ImmutableArray<BalanceTerm> Terms, double Total = 0)
{
    /// <summary>A balance in which inflow equals outflow.</summary>
    public static FlowBalance Of(string name, IEnumerable<string> comingIn, IEnumerable<string> goingOut) =>
        new(
            name,
            [
                .. comingIn.Select(flow => new BalanceTerm(flow, 1)),
                .. goingOut.Select(flow => new BalanceTerm(flow, -1)),
            ]
        );
}
