using System.ComponentModel;
using System.Globalization;
using System.Runtime.InteropServices;
using System.Text.Json;
using NutrientLedger.Hub.Startup;
using NutrientLedger.Hub.Tables;
using NutrientLedger.Persistence.Rebuild;
using NutrientLedger.Web.Wording;
using Spectre.Console;
using Spectre.Console.Cli;

namespace NutrientLedger.Hub.Commands;

/// <summary>
/// Rebuilds a farm's ledger from the journal in a shadow generation and compares the two. Or shows the ledger as of an
/// earlier time, or as it would be with other calibrations. Works beside a running hub.
/// </summary>
internal sealed class ReplayCommand : AsyncCommand<ReplayCommand.Settings>
{
    public sealed class Settings : FarmSettings
    {
        [CommandOption("--switch")]
        [Description("Switch to the rebuilt ledger. Default: compare and delete it.")]
        public bool Switch { get; init; }

        [CommandOption("--as-of <POSITION|TIME>")]
        [Description("Show the ledger at a journal position, or at a time such as 2026-05-01T12:00Z.")]
        public string? AsOf { get; init; }

        [CommandOption("--with <FILE>")]
        [Description("Preview the calibrations in a JSON file (one or a list); stores nothing.")]
        public string? With { get; init; }

        [CommandOption("--metric")]
        [Description("Hectares, cubic metres and kilograms.")]
        public bool Metric { get; init; }

        [CommandOption("--json")]
        [Description("Print the report as JSON.")]
        public bool Json { get; init; }

        public override ValidationResult Validate() =>
            With is not null && (Switch || AsOf is not null)
                ? ValidationResult.Error("--with is a preview; do not combine it with --switch or --as-of.")
            : AsOf is not null && Switch
                ? ValidationResult.Error("--as-of is read-only; do not combine it with --switch.")
            : AsOf is not null && Position(AsOf) is null && Time(AsOf) is null
                ? ValidationResult.Error(
                    $"\"{AsOf}\" is not valid. Write a journal position, or a time with its UTC offset, such as 2026-05-01T07:00-05:00."
                )
            : ValidationResult.Success();

        internal static long? Position(string text) =>
            long.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out var position) ? position : null;

        /// <summary>A time needs its UTC offset, because the machine's time zone may differ from the farm's.</summary>
        internal static DateTimeOffset? Time(string text) =>
            DateTimeOffset.TryParseExact(
                text,
                Times,
                CultureInfo.InvariantCulture,
                DateTimeStyles.AssumeUniversal,
                out var time
            )
                ? time
                : null;

        private static readonly string[] Times =
        [
            "yyyy-MM-dd'T'HH:mm'Z'",
            "yyyy-MM-dd'T'HH:mm:ss'Z'",
            "yyyy-MM-dd'T'HH:mmzzz",
            "yyyy-MM-dd'T'HH:mm:sszzz",
        ];
    }

    public override async Task<int> ExecuteAsync(
        CommandContext context,
        Settings settings,
        CancellationToken cancellationToken
    )
    {
        await using var database = await settings.OpenAsync(cancellationToken);
        await using var services = await database.ServicesAsync(cancellationToken);
        await KnownFarm.CheckAsync(services, settings.Farm, cancellationToken);
        var units = settings.Metric ? SummaryUnits.Metric : SummaryUnits.UsCustomary;
        if (settings.With is { } file)
            return await CalibrationPreviewReport.PrintAsync(
                services,
                settings.Farm,
                file,
                settings.Json,
                units,
                cancellationToken
            )
                ? 0
                : 1;
        var replay = services.GetRequiredService<LedgerRebuild>();
        if (settings.AsOf is { } asOf)
        {
            var position =
                Settings.Position(asOf)
                ?? await replay.PositionAtAsync(settings.Farm, Settings.Time(asOf)!.Value, cancellationToken);
            await EarlierLedgerReport.PrintAsync(
                services,
                settings.Farm,
                position,
                settings.Json,
                units,
                cancellationToken
            );
            return 0;
        }
        // Ctrl+C must not end the process at once: the shadow generation is deleted first.
        using var stopping = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        using var interrupted = PosixSignalRegistration.Create(PosixSignal.SIGINT, Stop);
        using var terminated = PosixSignalRegistration.Create(PosixSignal.SIGTERM, Stop);
        RebuildReport report;
        try
        {
            // Into a file or another program goes only the report.
            report =
                settings.Json || !AnsiConsole.Profile.Out.IsTerminal
                    ? await RunAsync(replay, settings, progress: null, stopping.Token)
                    : await AnsiConsole
                        .Progress()
                        .AutoClear(true)
                        .Columns(new TaskDescriptionColumn(), new ProgressBarColumn(), new PercentageColumn())
                        .StartAsync(shown =>
                            RunAsync(replay, settings, new ReplayProgressBar(shown, settings.Farm), stopping.Token)
                        );
        }
        catch (OperationCanceledException)
        {
            throw new HubStartException("The replay was cancelled. Its rows are deleted.");
        }
        if (settings.Json)
            await Console.Out.WriteLineAsync(JsonSerializer.Serialize(report, JsonSerializerOptions.Web));
        else
            Print(settings.Farm, report);
        return report.Differences.Count == 0 ? 0 : 1;

        void Stop(PosixSignalContext signal)
        {
            signal.Cancel = true;
            stopping.Cancel();
        }
    }

    private static async Task<RebuildReport> RunAsync(
        LedgerRebuild replay,
        Settings settings,
        IProgress<PostingProgress>? progress,
        CancellationToken cancellationToken
    )
    {
        try
        {
            return await replay.RunAsync(settings.Farm, settings.Switch, progress, cancellationToken);
        }
        catch (RebuildUnavailableException error)
        {
            throw new HubStartException(error.Message);
        }
    }

    private static void Print(string farm, RebuildReport report)
    {
        AnsiConsole.WriteLine(
            $"{farm}: {Plural.Of(report.Batches, "batch", "batches")} rebuilt up to position {report.Position}; {Plural.Of(report.Lines, "ledger line")}, {Plural.Of(report.Tiles, "coverage tile")} and {Plural.Of(report.LevelHours, "level hour")} compared."
        );
        foreach (var difference in report.Differences)
            AnsiConsole.MarkupLineInterpolated($"[red]{difference}[/]");
        AnsiConsole.WriteLine(
            report.Differences.Count > 0
                ? "The live ledger differs from the journal. This is a defect: back up the database and report it."
                : "No differences."
        );
        AnsiConsole.WriteLine(report.Switched ? "Switched to the rebuilt ledger." : "The rebuilt rows are deleted.");
    }
}
