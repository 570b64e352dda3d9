using NutrientLedger.Office.Import;
using Spectre.Console;

namespace NutrientLedger.Hub.Commands;

/// <summary>Prints what came of an import.</summary>
internal static class ImportReport
{
    /// <summary>True when everything was recorded or known; false when there is something to put right.</summary>
    public static bool Print(ImportOutcome outcome)
    {
        foreach (var problem in outcome.Problems)
            AnsiConsole.MarkupLineInterpolated($"[red]{problem.File}({problem.Line}): {problem.Problem}[/]");
        AnsiConsole.MarkupLineInterpolated(
            outcome.Problems.Count > 0
                ? (FormattableString)$"Nothing was recorded: {outcome.Problems.Count} to put right."
                : $"{outcome.FarmId}: {outcome.Recorded} recorded, {outcome.Unchanged} already known."
        );
        foreach (var adopted in outcome.AdoptedByRule ?? [])
            AnsiConsole.MarkupLineInterpolated(
                $"Calibration {adopted} was adopted by the farm's rule; a person can withdraw it."
            );
        return outcome.Problems.Count == 0;
    }
}
