using System.ComponentModel;
using System.Text.Json;
using NutrientLedger.Agronomy.Written;
using NutrientLedger.Store;
using Spectre.Console;
using Spectre.Console.Cli;

namespace NutrientLedger.Hub.Commands;

/// <summary>Proves a farm's records: every seal of the journal, and every posted figure against one posted anew. Works beside a running hub.</summary>
public sealed class VerifyCommand : AsyncCommand<VerifyCommand.Settings>
{
    public sealed class Settings : BesideSettings
    {
        [CommandArgument(0, "[FARM]")]
        [Description("The farm's id; left out: every farm.")]
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
        await using var services = await database.StoreAsync(cancellationToken);
        var farms = await services.GetRequiredService<RegisterStore>().FarmsAsync(cancellationToken);
        if (settings.Farm is { } wanted)
            await KnownFarm.CheckAsync(services, wanted, cancellationToken);
        var audit = services.GetRequiredService<LedgerAudit>();
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
            AnsiConsole.WriteLine("The journal is empty: no farm is registered yet.");
        foreach (var (farm, report) in reports)
        {
            AnsiConsole.WriteLine($"{farm}: {Looked(report)} made anew and compared.");
            foreach (var finding in report.Findings)
                AnsiConsole.MarkupLineInterpolated($"[red]{finding}[/]");
            AnsiConsole.WriteLine(
                report.Findings.Count == 0
                    ? "All as it was written; every figure follows from the journal."
                    : $"{Counted.Of(report.Findings.Count, "finding")}. Keep the database as it is and restore a backup beside it to compare."
            );
        }
    }

    private static string Looked(AuditReport report) =>
        string.Join(
            ", ",
            $"{Counted.Of(report.Entries, "entry", "entries")} in {Counted.Of(report.Streams, "sealed stream")}",
            Counted.Of(report.Lines, "ledger line"),
            Counted.Of(report.Tiles, "coverage tile"),
            Counted.Of(report.LevelHours, "level hour"),
            Counted.Of(report.Statements, "statement")
        );
}
