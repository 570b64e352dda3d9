using NutrientLedger.Json;
using NutrientLedger.Web.Contracts.Farms;
using NutrientLedger.Web.Wording;
using Spectre.Console;

namespace NutrientLedger.Hub.Commands;

/// <summary>Prints the outcome of an import.</summary>
internal static class ImportReport
{
    /// <summary>Returns true when everything was recorded or already known, false when there are errors.</summary>
    public static bool Print(ImportOutcome outcome)
    {
        foreach (var problem in outcome.Problems)
            AnsiConsole.MarkupLineInterpolated(
                $"[red]{FileProblem.PlaceOf(problem.File, problem.Line)}: {problem.Problem}[/]"
            );
        AnsiConsole.MarkupLineInterpolated(
            outcome.Problems.Count > 0
                ? (FormattableString)$"Nothing imported: fix {Plural.Of(outcome.Problems.Count, "error")}."
                : $"{outcome.FarmId}: {outcome.Recorded} imported, {outcome.Unchanged} unchanged."
        );
        foreach (var adopted in outcome.AdoptedByRule ?? [])
            AnsiConsole.MarkupLineInterpolated($"The farm's rule adopted calibration {adopted}. You can withdraw it.");
        foreach (var note in outcome.RuleNotes ?? [])
            AnsiConsole.MarkupLineInterpolated($"{note}");
        if (outcome is FarmImportOutcome farm)
            PrintMissing(farm);
        return outcome.Problems.Count == 0;
    }

    private static void PrintMissing(FarmImportOutcome farm)
    {
        if (farm.Withdrawn.Count > 0)
            AnsiConsole.WriteLine("Taken back, because it is not in the file:");
        PrintAll(farm.Withdrawn);
        if (farm.NotInFile.Count > 0)
            AnsiConsole.MarkupLineInterpolated(
                $"[yellow]Not in the file and still in force: {Plural.Of(farm.NotInFile.Count, "entry", "entries")}. To take all of this back, import with --withdraw \"why\" --by \"who\".[/]"
            );
        PrintAll(farm.NotInFile);

        static void PrintAll(IEnumerable<string> entries)
        {
            foreach (var entry in entries)
                AnsiConsole.MarkupLineInterpolated($"  {entry}");
        }
    }
}
