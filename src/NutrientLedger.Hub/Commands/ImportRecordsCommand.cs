using System.ComponentModel;
using NutrientLedger.Office.Import;
using NutrientLedger.Store;
using Spectre.Console;
using Spectre.Console.Cli;

namespace NutrientLedger.Hub.Commands;

/// <summary>Imports records made by hand at pits: loads, transfers, inflow, tape readings, rates, notes.</summary>
public sealed class ImportRecordsCommand : AsyncCommand<ImportRecordsCommand.Settings>
{
    public sealed class Settings : DatabaseSettings
    {
        [CommandArgument(0, "<FILE>")]
        [Description("The file of records (JSON) with the farm's id.")]
        public required string File { get; init; }
    }

    public override async Task<int> ExecuteAsync(
        CommandContext context,
        Settings settings,
        CancellationToken cancellationToken
    )
    {
        await using var database = await HubDatabase.OpenAsync(settings, HubDatabase.Own, cancellationToken);
        await using var services = await database.StoreAsync(cancellationToken);
        var import = new PitRecordImport(services.GetRequiredService<RegisterStore>());
        var outcome = await import.ImportAsync(settings.File, cancellationToken);
        foreach (var problem in outcome.Problems)
            AnsiConsole.MarkupLineInterpolated($"[red]{problem.File}({problem.Line}): {problem.Problem}[/]");
        AnsiConsole.MarkupLineInterpolated(
            outcome.Problems.Count > 0
                ? (FormattableString)$"Nothing was recorded: {outcome.Problems.Count} to put right."
                : $"{outcome.FarmId}: {outcome.Recorded} recorded, {outcome.Unchanged} already known."
        );
        return outcome.Problems.Count == 0 ? 0 : 1;
    }
}
