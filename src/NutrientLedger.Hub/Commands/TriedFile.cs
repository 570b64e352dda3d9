using System.Text.Json;
using NutrientLedger.Hub.Playback;
using NutrientLedger.Office.Asking;
using NutrientLedger.Store;
using Spectre.Console;

namespace NutrientLedger.Hub.Commands;

/// <summary>Prints what the calibrations of a file would change, as a table or as JSON; nothing is stored.</summary>
internal static class TriedFile
{
    /// <summary>False when there is something to put right in the file.</summary>
    public static async Task<bool> PrintAsync(
        IServiceProvider services,
        string farm,
        string path,
        bool json,
        SummaryUnits units,
        CancellationToken cancellationToken
    )
    {
        var trial = new CalibrationTrial(
            services.GetRequiredService<RegisterStore>(),
            services.GetRequiredService<LedgerReader>()
        );
        var (tried, problems) = await trial.OfFileAsync(farm, path, cancellationToken);
        foreach (var problem in problems)
            AnsiConsole.MarkupLineInterpolated($"[red]{problem.File}({problem.Line}): {problem.Problem}[/]");
        if (tried is null)
        {
            AnsiConsole.WriteLine($"Nothing was tried: {problems.Count} to put right.");
            return false;
        }
        if (json)
        {
            await Console.Out.WriteLineAsync(JsonSerializer.Serialize(tried, JsonSerializerOptions.Web));
            return true;
        }
        var names = string.Join(", ", tried.Calibrations);
        if (tried.Changes.Count == 0)
            AnsiConsole.WriteLine($"{names}: adopting this would change nothing that is posted.");
        else
            AnsiConsole.Write(ChangeTable.Of($"{farm}: what adopting {names} would change", tried.Changes, units));
        AnsiConsole.WriteLine($"As the ledger stands at journal position {tried.Position}; nothing was stored.");
        return true;
    }
}
