using System.ComponentModel;
using System.Globalization;
using System.Runtime.InteropServices;
using System.Text.Json;
using NutrientLedger.Agronomy.Written;
using NutrientLedger.Hub.Playback;
using NutrientLedger.Store;
using Spectre.Console;
using Spectre.Console.Cli;

namespace NutrientLedger.Hub.Commands;

/// <summary>
/// Posts a farm's whole ledger anew from the journal beside the live one and compares the two, or says what the ledger said at an
/// earlier time, or what it would say with other calibrations. Works beside a running hub.
/// </summary>
public sealed class ReplayCommand : AsyncCommand<ReplayCommand.Settings>
{
    public sealed class Settings : FarmSettings
    {
        [CommandOption("--switch")]
        [Description("Let the new ledger take the live one's place (usually it is compared and deleted).")]
        public bool Switch { get; init; }

        [CommandOption("--as-of <POSITION|TIME>")]
        [Description("Say what the ledger said at a journal position, or at a time such as 2026-05-01T12:00Z.")]
        public string? AsOf { get; init; }

        [CommandOption("--with <FILE>")]
        [Description(
            "Say what adopting the calibrations in a file (one or a list, as posted to calibrations) would change; stores nothing."
        )]
        public string? With { get; init; }

        [CommandOption("--metric")]
        [Description("Hectares, cubic metres and kilograms.")]
        public bool Metric { get; init; }

        [CommandOption("--json")]
        [Description("Print the report as JSON.")]
        public bool Json { get; init; }

        public override ValidationResult Validate() =>
            With is not null && (Switch || AsOf is not null)
                ? ValidationResult.Error("--with only tries; it cannot be combined with --switch or --as-of.")
            : AsOf is not null && Switch
                ? ValidationResult.Error("--as-of only asks; it cannot be combined with --switch.")
            : AsOf is not null && Position(AsOf) is null && Time(AsOf) is null
                ? ValidationResult.Error(
                    $"\"{AsOf}\" is neither a journal position nor a time with its offset from UTC, such as 2026-05-01T12:00Z or 2026-05-01T07:00-05:00."
                )
            : ValidationResult.Success();

        internal static long? Position(string text) =>
            long.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out var position) ? position : null;

        /// <summary>Only with its offset: the machine's zone need not be the farm's.</summary>
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
        await using var services = await database.StoreAsync(cancellationToken);
        await KnownFarm.CheckAsync(services, settings.Farm, cancellationToken);
        var units = settings.Metric ? SummaryUnits.Metric : SummaryUnits.UsCustomary;
        if (settings.With is { } file)
            return await TriedFile.PrintAsync(services, settings.Farm, file, settings.Json, units, cancellationToken)
                ? 0
                : 1;
        var replay = services.GetRequiredService<LedgerReplay>();
        if (settings.AsOf is { } asOf)
        {
            var position =
                Settings.Position(asOf)
                ?? await replay.PositionAtAsync(settings.Farm, Settings.Time(asOf)!.Value, cancellationToken);
            await EarlierLedger.PrintAsync(services, settings.Farm, position, settings.Json, units, cancellationToken);
            return 0;
        }
        // Ctrl+C must not end the process at once: what was posted beside is to be deleted first.
        using var stopping = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        using var interrupted = PosixSignalRegistration.Create(PosixSignal.SIGINT, Stop);
        using var terminated = PosixSignalRegistration.Create(PosixSignal.SIGTERM, Stop);
        ReplayReport report;
        try
        {
            // A file or another program gets the report alone.
            report =
                settings.Json || !AnsiConsole.Profile.Out.IsTerminal
                    ? await RunAsync(replay, settings, progress: null, stopping.Token)
                    : await AnsiConsole
                        .Progress()
                        .AutoClear(true)
                        .Columns(new TaskDescriptionColumn(), new ProgressBarColumn(), new PercentageColumn())
                        .StartAsync(shown =>
                            RunAsync(replay, settings, new ReplayBar(shown, settings.Farm), stopping.Token)
                        );
        }
        catch (OperationCanceledException)
        {
            throw new HubStartException("The replay was stopped; nothing of it is left behind.");
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

    private static async Task<ReplayReport> RunAsync(
        LedgerReplay replay,
        Settings settings,
        IProgress<PostingProgress>? progress,
        CancellationToken cancellationToken
    )
    {
        try
        {
            return await replay.RunAsync(settings.Farm, settings.Switch, progress, cancellationToken);
        }
        catch (ReplayRefusedException refused)
        {
            throw new HubStartException(refused.Message);
        }
    }

    private static void Print(string farm, ReplayReport report)
    {
        AnsiConsole.WriteLine(
            $"{farm}: {Counted.Of(report.Packs, "pack")} posted anew up to position {report.Position}; {Counted.Of(report.Lines, "ledger line")}, {Counted.Of(report.Tiles, "coverage tile")} and {Counted.Of(report.LevelHours, "level hour")} compared with the live ledger."
        );
        foreach (var difference in report.Differences)
            AnsiConsole.MarkupLineInterpolated($"[red]{difference}[/]");
        AnsiConsole.WriteLine(
            report.Differences.Count > 0
                ? "The live ledger differs from the journal. That is a defect: keep a copy of the database and report it."
                : "Every row is the same."
        );
        AnsiConsole.WriteLine(
            report.Switched ? "The new ledger has taken the live one's place." : "The replayed rows are deleted again."
        );
    }
}
