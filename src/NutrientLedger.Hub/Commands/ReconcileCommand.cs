using System.ComponentModel;
using System.Globalization;
using System.Text.Json;
using NutrientLedger.Hub.Startup;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Contracts.Storage;
using NutrientLedger.Web.Queries;
using NutrientLedger.Web.Queries.Storage;
using Spectre.Console;
using Spectre.Console.Cli;

namespace NutrientLedger.Hub.Commands;

/// <summary>Reports day by day whether what left a pit reached the fields. Works beside a running hub.</summary>
internal sealed class ReconcileCommand : AsyncCommand<ReconcileCommand.Settings>
{
    public sealed class Settings : FarmSettings
    {
        [CommandOption("--pit <PIT>")]
        [Description("The pit's id.")]
        public string? Pit { get; init; }

        [CommandOption("--from <DAY>")]
        [Description("First day, like 2026-04-21.")]
        public string? From { get; init; }

        [CommandOption("--to <DAY>")]
        [Description("Day after the last day.")]
        public string? To { get; init; }

        [CommandOption("--as-of <POSITION>")]
        [Description("Answer as of this journal position.")]
        public long? AsOf { get; init; }

        [CommandOption("--json")]
        [Description("Print the whole answer as JSON.")]
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
        var clock = new FarmClock(TimeProvider.System);
        var query = new ReconciliationQuery(
            services.GetRequiredService<ConfigurationStore>(),
            services.GetRequiredService<LedgerReader>(),
            services.GetRequiredService<PitReadings>(),
            new InterruptionQuery(services.GetRequiredService<DeviceReader>(), clock),
            clock
        );
        var (answer, problem) = await query.AskAsync(
            settings.Farm,
            settings.Pit,
            settings.From,
            settings.To,
            settings.AsOf,
            cancellationToken
        );
        if (answer is null)
            throw new HubStartException(problem!);
        if (settings.Json)
            AnsiConsole.Profile.Out.Writer.WriteLine(JsonSerializer.Serialize(answer, JsonSerializerOptions.Web));
        else
            Print(answer);
        return 0;
    }

    private static void Print(ReconciliationResponse answer)
    {
        var table = new Table { Title = new($"{answer.Farm}, {answer.Pit}: did everything pumped reach the fields?") };
        foreach (var column in new[] { "day", "result", "metered m³", "unexplained m³", "finding" })
            table.AddColumn(column);
        foreach (var day in answer.Days)
            table.AddRow(
                new Text(day.Day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture)),
                new Text(ReconciliationResponse.InWords(day.Verdict)),
                new Text(Number(day.MeteredCubicMetres)),
                new Text(Number(day.UnexplainedCubicMetres)),
                new Text(day.Finding)
            );
        AnsiConsole.Write(table);
        var whole = answer.Whole;
        if (whole.UnexplainedMillilitres is { } unexplained)
            AnsiConsole.WriteLine(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{whole.StartMillilitres:N0} start + {whole.InMillilitres:N0} in - {whole.OutMillilitres:N0} out - {whole.DrawnByMeterMillilitres:N0} metered - {whole.EndMillilitres:N0} end = {unexplained:N0} mL unexplained"
                )
            );
        if (whole.BetweenReadingsMillilitres > 0)
            AnsiConsole.WriteLine(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{whole.BetweenReadingsMillilitres:N0} mL of out were metered between readings, not placed"
                )
            );
        AnsiConsole.WriteLine(ReconciliationResponse.Signs);
        if (answer.IsBeingCorrected)
            AnsiConsole.WriteLine(ReconciliationResponse.BeingCorrected);
        AnsiConsole.WriteLine(
            string.Create(
                CultureInfo.InvariantCulture,
                $"Calculated to {answer.CalculatedTo:yyyy-MM-dd HH:mm:ss zzz}, farm time."
            )
        );
        AnsiConsole.WriteLine($"Whole period: {whole.Finding}");
        if (whole.IdleFinding is { } moved)
            AnsiConsole.WriteLine(moved);
        foreach (var note in whole.Notes)
            AnsiConsole.WriteLine(note);
        AnsiConsole.WriteLine(answer.Caution);
    }

    private static string Number(double? value) => value?.ToString("N3", CultureInfo.InvariantCulture) ?? "not known";
}
