using System.Collections.Immutable;
using NutrientLedger.Agronomy.Balance;

namespace NutrientLedger.Agronomy.Storage;

/// <summary>Whether the measurements of a pit agree.</summary>
public enum PitClosure
{
    /// <summary>Too few measurements to check one another.</summary>
    CannotTell = 1,

    /// <summary>Chance explains the differences in at least 5 of 100 cases.</summary>
    Closes = 2,

    /// <summary>Chance explains them in fewer than 5 of 100, but in at least 1 of 1,000 cases.</summary>
    Warning = 3,

    /// <summary>Chance explains them in fewer than 1 of 1,000 cases.</summary>
    DoesNotClose = 4,
}

/// <summary>
/// A measurement whose error explains the difference best. It has the measured value and the estimate from all other
/// measurements, both in m³, and the test statistic. A loss between pit and meter is tested like any instrument, as
/// measured 0.
/// </summary>
public sealed record SuspectedGrossError(
    string Measurement,
    double Measured,
    double EstimateFromOthers,
    double TestStatistic
);

/// <summary>
/// The measurements of a pit under its balances: stock drawn down + inflow − outflow − loss = drawn;
/// drawn by meter = covered area × set rate; drawn down by sensor = by tape, with equal mean levels. Suspected gross
/// errors are found by the likelihood ratio of one gross error each (S. Narasimhan and R. S. H. Mah, AIChE Journal 33,
/// 1987, from memory). For a measurement that ratio is the square of its normalized adjustment.
/// </summary>
public sealed record PitReconciliation(
    PitBalanceInput Input,
    ReconciledBalance? Balance,
    PitClosure Closure,
    ImmutableArray<SuspectedGrossError> SuspectedErrors
)
{
    private const double ClosesFrom = 0.05;
    private const double WarningFrom = 0.001;

    // Errors that act on the same balances in the same proportion have equal statistics but for rounding.
    private const double Alike = 1e-6;

    public static PitReconciliation Of(PitBalanceInput input)
    {
        var (flows, balances) = Model(input);
        if (balances.Count == 0)
            return new(input, null, PitClosure.CannotTell, []);
        var balance = Reconciliation.Of(flows, balances);
        var closure =
            balance.DegreesOfFreedom == 0 ? PitClosure.CannotTell
            : balance.Chance >= ClosesFrom ? PitClosure.Closes
            : balance.Chance >= WarningFrom ? PitClosure.Warning
            : PitClosure.DoesNotClose;
        return new(
            input,
            balance,
            closure,
            closure is PitClosure.Closes or PitClosure.CannotTell
                ? []
                : SuspectedErrorsIn(input, flows, balances, balance)
        );
    }

    /// <summary>All measured values, whether or not a balance can check them.</summary>
    public IEnumerable<PitMeasuredValue> MeasuredValues => PitMeasuredValue.Of(Input);

    /// <summary>
    /// The best estimate of a measurement from all measurements together, in m³; null when no balance contains it.
    /// </summary>
    public double? BestEstimate(string measurement) =>
        Balance?.Flows.FirstOrDefault(flow => flow.Name == measurement)?.Amount;

    private static (List<Flow> Flows, List<FlowBalance> Balances) Model(PitBalanceInput input)
    {
        var balances = new List<FlowBalance>();
        if (input.Stock is { } stock)
            balances.Add(
                FlowBalance.Of(
                    "the pit",
                    [stock.Measurement, .. input.Inflow.Select(measured => measured.Measurement)],
                    [
                        .. input.Outflow.Select(measured => measured.Measurement),
                        .. input.Draws.Select(draw => draw.Metered.Measurement),
                        .. input.Draws.IsEmpty ? Array.Empty<string>() : [PitMeasuredValue.Loss],
                    ]
                )
            );
        if (input is { Sensor: { } sensor, Tape: { } tape })
        {
            balances.Add(FlowBalance.Of("sensor and tape", [sensor.Measurement], [tape.Measurement]));
            var (bySensor, byTape) = (PitMeasuredValue.MeanLevelOf(sensor), PitMeasuredValue.MeanLevelOf(tape));
            balances.Add(FlowBalance.Of("mean levels", [bySensor], [byTape]));
        }
        foreach (var (metered, byRate) in input.Draws)
            if (byRate is not null)
                balances.Add(FlowBalance.Of(byRate.Measurement, [metered.Measurement], [byRate.Measurement]));
        var held = balances.SelectMany(balance => balance.Terms).Select(term => term.Flow).ToHashSet();
        return (
            [
                .. PitMeasuredValue
                    .Of(input)
                    .Where(measurement => held.Contains(measurement.Name))
                    .Select(measurement =>
                        Flow.Measured(measurement.Name, measurement.Measured, measurement.Deviation)
                    ),
            ],
            balances
        );
    }

    // Impossible errors are not suspected. No flow may turn out below zero, and a loss may not be a gain. A stock may
    // rise.
    private static ImmutableArray<SuspectedGrossError> SuspectedErrorsIn(
        PitBalanceInput input,
        List<Flow> flows,
        List<FlowBalance> balances,
        ReconciledBalance balance
    )
    {
        var sharing = input.Outflow.Where(measured => measured.SharesAMeter).Select(measured => measured.Measurement);
        var possible = (
            from flow in balance.Flows
            where flow.NormalizedAdjustment is not null && !sharing.Contains(flow.Name)
            let others = EstimateFromOthers(flows, balances, flow.Name)
            where
                others is >= 0
                || (
                    others is not null
                    && (flow.Name == input.Sensor?.Measurement || flow.Name == input.Tape?.Measurement)
                )
            orderby flow.NormalizedAdjustment descending
            select new SuspectedGrossError(
                flow.Name,
                flow.Measured!.Value,
                others.Value,
                flow.NormalizedAdjustment!.Value
            )
        ).ToArray();
        return [.. possible.TakeWhile(error => error.TestStatistic >= possible[0].TestStatistic * (1 - Alike))];
    }

    /// <summary>
    /// What the balances and all other measurements say of one, in m³; null where they say nothing. A level alone, with
    /// nothing flowing, must stay where it is: its change is then 0.
    /// </summary>
    private static double? EstimateFromOthers(List<Flow> flows, List<FlowBalance> balances, string measurement) =>
        flows.Count == 1
            ? 0
            : Reconciliation
                .Of(
                    [.. flows.Select(flow => flow.Name == measurement ? Flow.Unmeasured(measurement) : flow)],
                    balances
                )[measurement]
                .Amount;
}
