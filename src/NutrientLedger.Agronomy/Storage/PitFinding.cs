using System.Globalization;

namespace NutrientLedger.Agronomy.Storage;

/// <summary>Says in a sentence what a reconciliation found, so that nobody has to read a test figure.</summary>
public static class PitFinding
{
    public static string Of(PitReconciliation reconciliation) =>
        reconciliation switch
        {
            { Verdict: PitVerdict.CannotTell } =>
                "Too few witnesses: at least two of level, tape, meter and area × set rate must tell of the same manure.",
            { Verdict: PitVerdict.Closes } => "All that was measured tells one story within its errors.",
            { Suspects: [] } => "The witnesses contradict each other, and no single error explains it.",
            { Suspects: [var one] } => Sentence(one) + ".",
            _ =>
                $"Not to be told apart by what was measured: {string.Join("; or ", reconciliation.Suspects.Select(Sentence))}. "
                    + "Two tape readings, before and after, tell the sensor from a loss; a set rate tells the meter from both.",
        };

    private static string Sentence(PitSuspect suspect) =>
        suspect.Witness == PitReconciliation.Loss
            ? Text($"{suspect.OthersSay:N1} m³ left the pit and never came through the meter: look for a leak")
        : suspect.OthersSay == 0 ? Text($"{suspect.Witness} says {suspect.Told:N1} m³ where all others say nothing")
        : Text(
            $"{suspect.Witness} says {Math.Abs(Share(suspect)):0.0} % {(Share(suspect) > 0 ? "more" : "less")} than all others together allow ({suspect.Told:N1} against {suspect.OthersSay:N1} m³)"
        );

    private static double Share(PitSuspect suspect) => 100 * (suspect.Told / suspect.OthersSay - 1);

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
