using System.ComponentModel;
using NutrientLedger.Hub.Startup;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Web.Commands;
using NutrientLedger.Web.Import.Farms;
using Spectre.Console;
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

        [CommandOption("--withdraw <REASON>")]
        [Description("Take back all entries that are in force but not in the file, for this reason. Needs --by.")]
        public string? Withdraw { get; init; }

        [CommandOption("--by <NAME>")]
        [Description("Who takes them back.")]
        public string? By { get; init; }

        [CommandOption("--only <WORDS>")]
        [Description("Take back only those entries whose names, as the import lists them, contain these words.")]
        public string? Only { get; init; }

        /// <summary>Why and by whom missing entries are taken back; null when they stay.</summary>
        public Withdrawal? Withdrawal => Withdraw is null ? null : new(Withdraw, By!, Only);

        public override ValidationResult Validate() =>
            (Withdraw, By, Only) is (null, null, null)
            || !(string.IsNullOrWhiteSpace(Withdraw) || string.IsNullOrWhiteSpace(By))
                ? ValidationResult.Success()
                : ValidationResult.Error(
                    "To take back what is not in the file, say why and who: --withdraw \"wrong machine\" --by \"Ada Ash\"."
                );
    }

    public override async Task<int> ExecuteAsync(
        CommandContext context,
        Settings settings,
        CancellationToken cancellationToken
    )
    {
        await using var database = await settings.OpenAsync(cancellationToken);
        await using var services = await database.ServicesAsync(cancellationToken);
        return await ImportAsync(services, settings.File, settings.Withdrawal, cancellationToken) is null ? 1 : 0;
    }

    /// <summary>
    /// Imports, prints the outcome and returns the farm's id; null when errors kept everything from being recorded.
    /// </summary>
    internal static async Task<string?> ImportAsync(
        IServiceProvider services,
        string file,
        Withdrawal? withdrawal,
        CancellationToken cancellationToken
    )
    {
        var import = new FarmImport(services.GetRequiredService<ConfigurationStore>());
        var outcome = await import.ImportAsync(file, withdrawal, cancellationToken);
        return ImportReport.Print(outcome) ? outcome.FarmId : null;
    }
}
