using System.Text.Json;
using NutrientLedger.Hub.Tables;
using NutrientLedger.Json;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Commands;
using NutrientLedger.Web.Wording;
using Spectre.Console;

namespace NutrientLedger.Hub.Commands;

/// <summary>Prints what the calibrations of a file would change, as a table or as JSON. Stores nothing.</summary>
internal static class CalibrationPreviewReport
{
    /// <summary>Returns false when the file has errors.</summary>
    public static async Task<bool> PrintAsync(
        IServiceProvider services,
        string farm,
        string path,
        bool json,
        SummaryUnits units,
        CancellationToken cancellationToken
    )
    {
        var calibrations = new CalibrationPreview(
            services.GetRequiredService<ConfigurationStore>(),
            services.GetRequiredService<LedgerReader>(),
            services.GetRequiredService<SampleReader>()
        );
        var (preview, problems) = await calibrations.OfFileAsync(farm, path, cancellationToken);
        foreach (var problem in problems)
            AnsiConsole.MarkupLineInterpolated(
                $"[red]{FileProblem.PlaceOf(problem.File, problem.Line)}: {problem.Problem}[/]"
            );
        if (preview is null)
        {
            AnsiConsole.WriteLine($"No preview: fix {Plural.Of(problems.Count, "error")}.");
            return false;
        }
        if (json)
        {
            await Console.Out.WriteLineAsync(JsonSerializer.Serialize(preview, JsonSerializerOptions.Web));
            return true;
        }
        var names = string.Join(", ", preview.Calibrations);
        if (preview.Changes.Count == 0)
            AnsiConsole.WriteLine($"{names}: adopting would change nothing.");
        else
            AnsiConsole.Write(ChangeTable.Of($"{farm}: changes if {names} is adopted", preview.Changes, units));
        foreach (var warning in preview.Warnings)
            AnsiConsole.WriteLine(warning);
        AnsiConsole.WriteLine($"Ledger at journal position {preview.Position}. Nothing was stored.");
        return true;
    }
}
