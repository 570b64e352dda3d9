using System.ComponentModel;
using NutrientLedger.Hub.Startup;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Commands;
using Spectre.Console.Cli;

namespace NutrientLedger.Hub.Commands;

/// <summary>Imports laboratory reports, new ones and corrections of earlier ones.</summary>
internal sealed class ImportLabCommand : AsyncCommand<ImportLabCommand.Settings>
{
    public sealed class Settings : ExistingDatabaseSettings
    {
        [CommandArgument(0, "<FARM>")]
        [Description("The farm's id.")]
        public required string Farm { get; init; }

        [CommandArgument(1, "<FILE>")]
        [Description("The file of reports, JSON or CSV.")]
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
        var import = new LabImport(
            services.GetRequiredService<ConfigurationStore>(),
            services.GetRequiredService<SampleReader>()
        );
        var outcome = await import.ImportAsync(settings.Farm, settings.File, cancellationToken);
        return ImportReport.Print(outcome) ? 0 : 1;
    }
}
