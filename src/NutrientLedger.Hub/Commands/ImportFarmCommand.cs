using System.ComponentModel;
using NutrientLedger.Hub.Startup;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Web.Commands;
using Spectre.Console.Cli;

namespace NutrientLedger.Hub.Commands;

/// <summary>
/// Imports a farm file. Works beside a running hub, because it only appends events to the same journal.
/// </summary>
internal sealed class ImportFarmCommand : AsyncCommand<ImportFarmCommand.Settings>
{
    public sealed class Settings : ExistingDatabaseSettings
    {
        [CommandArgument(0, "<FILE>")]
        [Description("The farm file (JSON); it names the GeoJSON file with the fields.")]
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
        return await ImportAsync(services, settings.File, cancellationToken) is null ? 1 : 0;
    }

    /// <summary>
    /// Imports, prints the outcome and returns the farm's id; null when errors kept everything from being recorded.
    /// </summary>
    internal static async Task<string?> ImportAsync(
        IServiceProvider services,
        string file,
        CancellationToken cancellationToken
    )
    {
        var import = new FarmImport(services.GetRequiredService<ConfigurationStore>());
        var outcome = await import.ImportAsync(file, cancellationToken);
        return ImportReport.Print(outcome) ? outcome.FarmId : null;
    }
}
