using System.ComponentModel;
using NutrientLedger.Hub.Startup;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Web.Commands;
using Spectre.Console.Cli;

namespace NutrientLedger.Hub.Commands;

/// <summary>Imports records made by hand at pits: loads, transfers, inflow, tape readings, rates, notes.</summary>
internal sealed class ImportRecordsCommand : AsyncCommand<ImportRecordsCommand.Settings>
{
    public sealed class Settings : ExistingDatabaseSettings
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
        await using var database = await settings.OpenAsync(cancellationToken);
        await using var services = await database.ServicesAsync(cancellationToken);
        return await ImportAsync(services, settings.File, cancellationToken) ? 0 : 1;
    }

    /// <summary>Imports a file and prints the outcome. Returns false when the file has errors.</summary>
    public static async Task<bool> ImportAsync(
        IServiceProvider services,
        string file,
        CancellationToken cancellationToken
    )
    {
        var import = new PitRecordImport(services.GetRequiredService<ConfigurationStore>());
        var outcome = await import.ImportAsync(file, cancellationToken);
        return ImportReport.Print(outcome);
    }
}
