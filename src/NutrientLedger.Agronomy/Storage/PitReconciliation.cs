using System.Collections.Immutable;
using NutrientLedger.Agronomy.Balance;

namespace NutrientLedger.Agronomy.Storage;

/// <summary>Whether the witnesses of a pit tell one story.</summary>
public enum PitVerdict
{
    /// <summary>Too few witnesses for one to check another.</summary>
    CannotTell = 1,

    /// <summary>Chance explains the differences in at least 5 of 100 cases.</summary>
    Closes = 2,

    /// <summary>Chance explains them in fewer than 5 of 100, but in at least 1 of 1,000 cases.</summary>
    Doubtful = 3,

    /// <summary>Chance explains them in fewer than 1 of 1,000 cases.</summary>
    DoesNotClose = 4,
}

/// <summary>
/// A witness whose error explains the difference best: what it told, what all others together say, both in m³, and the test's
/// figure. A loss between pit and meter is a suspect like any instrument, told as 0.
/// </summary>
public sealed record PitSuspect(string Witness, double Told, double OthersSay, double Figure);

/// <summary>
/// The story of a pit under its balances: stock drawn down + inflow − outflow − loss = drawn; drawn by meter = covered area × set
/// rate; drawn down by sensor = by tape, and their standing levels alike. Suspects come by the likelihood ratio of one gross error each (S. Narasimhan and R. S. H.
/// Mah, AIChE Journal 33, 1987, from memory), which for a measurement is the square of its normalized adjustment.
/// </summary>
public sealed record PitReconciliation(
    PitStory Story,
    ReconciledBalance? Balance,
    PitVerdict Verdict,
    ImmutableArray<PitSuspect> Suspects
)
{
    private const double ClosesFrom = 0.05;
    private const double DoubtfulFrom = 0.001;

    // Errors that press on the same balances in the same proportion have equal figures but for rounding.
    private const double Alike = 1e-6;

    public static PitReconciliation Of(PitStory story)
    {
        var (flows, balances) = Model(story);
        if (balances.Count == 0)
            return new(story, null, PitVerdict.CannotTell, []);
        var balance = Reconciliation.Of(flows, balances);
        var verdict =
            balance.DegreesOfFreedom == 0 ? PitVerdict.CannotTell
            : balance.Chance >= ClosesFrom ? PitVerdict.Closes
            : balance.Chance >= DoubtfulFrom ? PitVerdict.Doubtful
            : PitVerdict.DoesNotClose;
        return new(
            story,
            balance,
            verdict,
            verdict is PitVerdict.Closes or PitVerdict.CannotTell ? [] : SuspectsOf(story, flows, balances, balance)
        );
    }

    /// <summary>All that was told, whether or not a balance can check it.</summary>
    public IEnumerable<PitWitness> Witnesses => PitWitness.Of(Story);

    /// <summary>What a witness should have told by all witnesses together, in m³; nothing when no balance holds it.</summary>
    public double? OfAll(string witness) => Balance?.Flows.FirstOrDefault(flow => flow.Name == witness)?.Amount;

    private static (List<Flow> Flows, List<FlowBalance> Balances) Model(PitStory story)
    {
        var balances = new List<FlowBalance>();
        if (story.Stock is { } stock)
            balances.Add(
                FlowBalance.Of(
                    "the pit",
                    [stock.Witness, .. story.Inflow.Select(told => told.Witness)],
                    [
                        .. story.Outflow.Select(told => told.Witness),
                        .. story.Drawings.Select(drawing => drawing.Metered.Witness),
                        .. story.Drawings.IsEmpty ? Array.Empty<string>() : [PitWitness.Loss],
                    ]
                )
            );
        if (story is { Sensor: { } sensor, Tape: { } tape })
        {
            balances.Add(FlowBalance.Of("sensor and tape", [sensor.Witness], [tape.Witness]));
            var (seen, read) = (PitWitness.StandingLevelOf(sensor), PitWitness.StandingLevelOf(tape));
            balances.Add(FlowBalance.Of("standing levels", [seen], [read]));
        }
        foreach (var (metered, byRate) in story.Drawings)
            if (byRate is not null)
                balances.Add(FlowBalance.Of(byRate.Witness, [metered.Witness], [byRate.Witness]));
        var held = balances.SelectMany(balance => balance.Terms).Select(term => term.Flow).ToHashSet();
        return (
            [
                .. PitWitness
                    .Of(story)
                    .Where(witness => held.Contains(witness.Name))
                    .Select(witness => Flow.Measured(witness.Name, witness.Told, witness.Deviation)),
            ],
            balances
        );
    }

    // What cannot be is no suspect: nothing that flows may turn out below zero, and a loss may not be a gain. A stock may rise.
    private static ImmutableArray<PitSuspect> SuspectsOf(
        PitStory story,
        List<Flow> flows,
        List<FlowBalance> balances,
        ReconciledBalance balance
    )
    {
        var possible = (
            from flow in balance.Flows
            where flow.NormalizedAdjustment is not null
            let others = OthersSay(flows, balances, flow.Name)
            where
                others is >= 0
                || (others is not null && (flow.Name == story.Sensor?.Witness || flow.Name == story.Tape?.Witness))
            orderby flow.NormalizedAdjustment descending
            select new PitSuspect(flow.Name, flow.Measured!.Value, others.Value, flow.NormalizedAdjustment!.Value)
        ).ToArray();
        return [.. possible.TakeWhile(suspect => suspect.Figure >= possible[0].Figure * (1 - Alike))];
    }

    private static double? OthersSay(List<Flow> flows, List<FlowBalance> balances, string witness) =>
        Reconciliation
            .Of([.. flows.Select(flow => flow.Name == witness ? Flow.Unmeasured(witness) : flow)], balances)[witness]
            .Amount;
}
