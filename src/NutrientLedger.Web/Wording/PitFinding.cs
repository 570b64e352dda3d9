using System.Globalization;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Ledger.Storage;

namespace NutrientLedger.Web.Wording;

/// <summary>
/// Describes the result of a reconciliation in sentences, so that nobody has to interpret a test value.
/// </summary>
internal static class PitFinding
{
    // One false alarm in twenty over all measurements together.
    private const double Confidence = 0.95;

    /// <summary>The finding. Volumes are in m³ unless a format is given.</summary>
    public static string Of(PitReconciliation reconciliation, Func<double, string>? volume = null) =>
        reconciliation switch
        {
            { Closure: PitClosure.CannotTell } when !reconciliation.MeasuredValues.Any() =>
                "Nothing was measured or recorded for this pit in this time.",
            { Closure: PitClosure.CannotTell } =>
                "Too few measurements: at least two of level, tape, meter and area × set rate must cover the same manure.",
            { Closure: PitClosure.Closes } => "All measurements agree.",
            { SuspectedErrors: [] } => "The measurements contradict each other, and no single error explains it.",
            { SuspectedErrors: [var one] } => Describe(one, volume ?? CubicMetres) + ".",
            _ =>
                $"The measurements cannot distinguish: {string.Join("; or ", reconciliation.SuspectedErrors.Select(error => Describe(error, volume ?? CubicMetres)))}. "
                    + "Two tape readings, before and after, distinguish the sensor from a loss; a set rate distinguishes the meter from both.",
        };

    /// <summary>
    /// The possible causes when the level moved while nothing was drawn. The level alone cannot distinguish a sensor
    /// error from a leak or inflow, so all are named.
    /// </summary>
    public static string OfIdle(IdleStretch stretch, Func<double, string>? volume = null)
    {
        var (unseen, rainIsKnown) = (stretch.UnexplainedCubicMetres, stretch.RainIsKnown);
        var moved = (volume ?? CubicMetres)(Math.Abs(unseen));
        var without = rainIsKnown ? "drawing, loads, transfers or rain" : "drawing, loads or transfers";
        var rain = rainIsKnown ? "" : "unmeasured rain fell, ";
        return Text($"In {stretch.Hours:0.#} hours without {without} the level ")
            + (
                unseen > 0
                    ? $"fell by {moved} more than inflow and evaporation explain: the level sensor drifts, or the pit leaks. "
                    : $"rose by {moved} more than inflow explains: the level sensor drifts, {rain}or an inflow was not recorded. "
            )
            + "Two tape readings some hours apart show which.";
    }

    /// <summary>The test of all measurements together.</summary>
    public static string Test(PitReconciliation reconciliation) =>
        reconciliation.Balance is not { DegreesOfFreedom: > 0 } balance
            ? "No measurement checks another, so nothing can be tested."
            : Text(
                $"Chance explains such differences in {Cases(balance.Chance)} (χ² = {balance.ChiSquare:0.0} from {balance.DegreesOfFreedom} independent checks)."
            );

    /// <summary>The test of one measurement: whether its adjustment exceeds what its error explains.</summary>
    public static string Test(PitReconciliation reconciliation, string measurement)
    {
        var adjustment = reconciliation
            .Balance?.Flows.FirstOrDefault(flow => flow.Name == measurement)
            ?.NormalizedAdjustment;
        return adjustment is null
            ? "nothing checks it"
            : Text(
                $"{(adjustment > reconciliation.Balance!.AdjustmentLimit(Confidence) ? "beyond chance" : "within chance")} ({adjustment:0.0} deviations)"
            );
    }

    private static string Cases(double chance) =>
        chance < 0.001 ? "fewer than 1 of 1,000 cases"
        : chance < 0.095 ? Text($"{1000 * chance:0} of 1,000 cases")
        : Text($"{100 * chance:0} of 100 cases");

    private static string Describe(SuspectedGrossError error, Func<double, string> volume)
    {
        return error.Measurement == PitMeasuredValue.Loss
                ? $"{volume(error.EstimateFromOthers)} left the pit and never came through the meter: look for a leak"
            : error is { Measured: < 0 } or { EstimateFromOthers: < 0 }
                ? $"{error.Measurement} says that the content {Moved(error.Measured)}, the other measurements that it {Moved(error.EstimateFromOthers)}"
            : error.EstimateFromOthers == 0
                ? $"{error.Measurement} says {volume(error.Measured)} where the other measurements show none"
            : Text(
                $"{error.Measurement} says {Math.Abs(Share(error)):0.0} % {(Share(error) > 0 ? "more" : "less")} than the other measurements allow ({volume(error.Measured)} against {volume(error.EstimateFromOthers)})"
            );

        // Positive when the content fell, negative when the pit filled.
        string Moved(double drawnDown) => $"{(drawnDown < 0 ? "rose" : "fell")} by {volume(Math.Abs(drawnDown))}";
    }

    private static double Share(SuspectedGrossError error) => 100 * (error.Measured / error.EstimateFromOthers - 1);

    private static string CubicMetres(double cubicMetres) => Text($"{cubicMetres:N1} m³");

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
