using System.ComponentModel;
using System.Text.Json;
using NutrientLedger.Hub.Startup;
using NutrientLedger.Persistence.Verification;
using NutrientLedger.Web.Wording;
using Spectre.Console;
using Spectre.Console.Cli;

namespace NutrientLedger.Hub.Commands;

/// <summary>
/// Verifies a farm's records: every chain hash of the journal, and every posted value against a rebuild. Works beside a
/// running hub.
/// </summary>
internal sealed class VerifyCommand : AsyncCommand<VerifyCommand.Settings>
{
    public sealed class Settings : ExistingDatabaseSettings
    {
        [CommandArgument(0, "[FARM]")]
        [Description("Farm id. Default: all farms.")]
        public string? Farm { get; init; }

        [CommandOption("--json")]
        [Description("Print the reports as JSON.")]
        public bool Json { get; init; }
    }

    public override async Task<int> ExecuteAsync(
        CommandContext context,
        Settings settings,
        CancellationToken cancellationToken
    )
    {
        await using var database = await settings.OpenAsync(cancellationToken);
        await using var services = await database.ServicesAsync(cancellationToken);
        var audit = services.GetRequiredService<LedgerAudit>();
        // A farm without a configuration is no known farm, and must be verified all the same.
        var farms = await audit.FarmsAsync(cancellationToken);
        if (settings.Farm is { } wanted && !farms.Contains(wanted))
            await KnownFarm.CheckAsync(services, wanted, cancellationToken);
        var reports = new Dictionary<string, AuditReport>();
        foreach (var farm in settings.Farm is { } one ? [one] : farms)
            reports[farm] = await audit.RunAsync(farm, cancellationToken);
        if (settings.Json)
            AnsiConsole.WriteLine(JsonSerializer.Serialize(reports, JsonSerializerOptions.Web));
        else
            Print(reports);
        return reports.Values.All(report => report.Findings.Count == 0) ? 0 : 1;
    }

    private static void Print(Dictionary<string, AuditReport> reports)
    {
        if (reports.Count == 0)
            AnsiConsole.WriteLine("No farm is registered yet.");
        foreach (var (farm, report) in reports)
        {
            AnsiConsole.WriteLine($"{farm}: {Compared(report)} checked.");
            if (report.NewestSeal is { Seal: var seal } stored)
                AnsiConsole.WriteLine(
                    $"Last seal {stored.SealedAt:u}: up to position {seal.Position} {seal.ChainHash}, over {Plural.Of(seal.Farms, "farm")} {seal.AllFarmsHash}."
                );
            foreach (var finding in report.Findings)
                AnsiConsole.MarkupLineInterpolated($"[red]{finding}[/]");
            AnsiConsole.WriteLine(
                report.Findings.Count == 0
                    ? "The journal is intact and the ledger matches it."
                    : $"{Plural.Of(report.Findings.Count, "finding")}. Do not change the database; restore a backup elsewhere and compare."
            );
        }
    }

    private static string Compared(AuditReport report) =>
        string.Join(
            ", ",
            $"{Plural.Of(report.Events, "event")} in {Plural.Of(report.Streams, "stream")}",
            Plural.Of(report.Lines, "ledger line"),
            Plural.Of(report.Tiles, "coverage tile"),
            Plural.Of(report.LevelHours, "level hour"),
            Plural.Of(report.Statements, "statement")
        );
}
