using System.ComponentModel;
using System.Text.Json;
using NutrientLedger.Demo;
using NutrientLedger.Hub.Startup;
using NutrientLedger.Hub.Startup.Options;
using NutrientLedger.Hub.Tables;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Commands;
using NutrientLedger.Web.Queries;
using NutrientLedger.Web.Queries.Storage;
using NutrientLedger.Web.Wording;
using Serilog.Events;
using Spectre.Console;
using Spectre.Console.Cli;

namespace NutrientLedger.Hub.Commands;

/// <summary>
/// Runs the hub with the invented farm and plays its recorded season through MQTT, as real devices would send it.
/// </summary>
internal sealed class DemoCommand : AsyncCommand<DemoCommand.Settings>
{
    /// <summary>
    /// Rebuilding a farm or restarting the database takes seconds. A longer standstill does not end by itself.
    /// </summary>
    private static readonly TimeSpan StandstillMax = TimeSpan.FromMinutes(1);

    public sealed class Settings : HubSettings
    {
        [CommandOption("--speed <TIMES>")]
        [Description("Playback speed, as a multiple of real time; silences are skipped. Default: 120.")]
        [DefaultValue(120.0)]
        public double Speed { get; init; }

        [CommandOption("--once")]
        [Description("Play at full speed, print the season's summary and stop.")]
        public bool Once { get; init; }

        [CommandOption("--fresh")]
        [Description("Delete the data of earlier demos and start over.")]
        public bool Fresh { get; init; }

        [CommandOption("--metric")]
        [Description("Print the summary in hectares, cubic metres and kilograms.")]
        public bool Metric { get; init; }

        [CommandOption("--streams <FOLDER>")]
        [Description("Folder with the recorded streams. Default: demo-streams in the checkout.")]
        public string? Streams { get; init; }

        protected override bool ReadsDefaultFile => false;

        public SummaryUnits Units => Metric ? SummaryUnits.Metric : SummaryUnits.UsCustomary;

        public override ValidationResult Validate() =>
            Speed is > 0 and <= 100_000
                ? base.Validate()
                : ValidationResult.Error("--speed must be above 0 and at most 100000, for example 60.");
    }

    public override async Task<int> ExecuteAsync(
        CommandContext context,
        Settings settings,
        CancellationToken cancellationToken
    )
    {
        var streams = settings.Streams is { } named ? DemoStreams.Require(named) : DemoStreams.Find();
        var configuration = settings.ReadConfiguration();
        var options = configuration.Options;
        if (options.Broker.Address is not null)
            throw new HubStartException("The demo runs a broker of its own. Leave out Broker:Address.");
        var http = Ports.FreeFrom(options.HttpPort);
        var mqtt = Ports.FreeFrom(options.MqttPort);
        await using var database = await HubDatabase.OpenAsync(options, DemoFolder.Database, cancellationToken);
        if (settings.Fresh)
            await DemoFolder.ClearAsync(database, options, cancellationToken);
        var clock = new SeasonClock(TimeProvider.System);
        await using var app = HubHost.Compose(
            configuration.With(
                (nameof(HubOptions.Database), database.ConnectionString),
                (nameof(HubOptions.HttpPort), http),
                (nameof(HubOptions.MqttPort), mqtt)
            ),
            settings.Once ? LogEventLevel.Warning : LogEventLevel.Information,
            clock,
            database.Server
        );
        await database.StartAsync(app, cancellationToken);
        using var stopping = CancellationTokenSource.CreateLinkedTokenSource(
            cancellationToken,
            app.Lifetime.ApplicationStopping
        );
        var (httpPort, mqttPort) = HubHost.PortsOf(app);
        AnsiConsole.MarkupLineInterpolated($"Page and query API: [bold]http://127.0.0.1:{httpPort}/[/]");
        AnsiConsole.MarkupLineInterpolated($"Sensors connect to: [bold]mqtt://127.0.0.1:{mqttPort}[/]");
        var farmFile = Path.Combine(streams, DemoStreams.FarmFile);
        if (await FarmAsync(app.Services, farmFile, stopping.Token) is not { } farm)
            return 1;
        var records = Path.Combine(streams, DemoStreams.RecordsFile);
        if (File.Exists(records) && !await ImportRecordsCommand.ImportAsync(app.Services, records, stopping.Token))
            return 1;
        var season = SeasonPlayback.Of(streams, DemoFolder.BookmarksOf(options), mqttPort, TimeProvider.System);
        clock.Season = season;
        return settings.Once
            ? await PlayOnceAsync(app, season, farm, streams, settings.Units, stopping.Token)
            : await PlayLiveAsync(app, season, farm, streams, settings, stopping.Token);
    }

    /// <summary>
    /// Imports the demo's farm when it begins. A later start leaves the farm as it is: its user may have changed it.
    /// </summary>
    private static async Task<string?> FarmAsync(
        IServiceProvider services,
        string farmFile,
        CancellationToken cancellationToken
    )
    {
        var known = await services.GetRequiredService<ConfigurationStore>().FarmsAsync(cancellationToken);
        using var file = JsonDocument.Parse(await File.ReadAllBytesAsync(farmFile, cancellationToken));
        return file.RootElement.GetProperty("farm").GetProperty("id").GetString() is { } farm && known.Contains(farm)
            ? farm
            : await ImportFarmCommand.ImportAsync(services, farmFile, withdrawal: null, cancellationToken);
    }

    private static async Task<int> PlayLiveAsync(
        WebApplication app,
        SeasonPlayback season,
        string farm,
        string streams,
        Settings settings,
        CancellationToken stopping
    )
    {
        AnsiConsole.MarkupLineInterpolated(
            $"Playing the season at {settings.Speed} times real time. Stop with Ctrl+C; it resumes at the next start."
        );
        try
        {
            var left = await season.PlayAsync(settings.Speed, stopping);
            AnsiConsole.MarkupLineInterpolated(
                left == 0
                    ? (FormattableString)$"The whole season is already stored. Use --fresh to start over."
                    : $"Season complete: {Plural.Of(season.Acknowledged, "message")}."
            );
            await PostedAsync(app.Services.GetRequiredService<DeviceReader>(), stopping);
            await CorrectAsync(app, farm, streams, settings.Units, stopping);
            await app.WaitForShutdownAsync(stopping);
        }
        catch (OperationCanceledException) when (stopping.IsCancellationRequested)
        {
            await app.StopAsync(CancellationToken.None);
        }
        return Environment.ExitCode;
    }

    private static async Task<int> PlayOnceAsync(
        WebApplication app,
        SeasonPlayback season,
        string farm,
        string streams,
        SummaryUnits units,
        CancellationToken stopping
    )
    {
        await AnsiConsole
            .Status()
            .StartAsync("Playing the season at full speed …", _ => season.PlayAsync(null, stopping));
        AnsiConsole.MarkupLineInterpolated($"{Plural.Of(season.Acknowledged, "message")} acknowledged.");
        var ledgers = app.Services.GetRequiredService<LedgerReader>();
        await PostedAsync(app.Services.GetRequiredService<DeviceReader>(), stopping);
        var configurations = app.Services.GetRequiredService<ConfigurationStore>();
        var configuration = (await configurations.ReadAsync(farm, asOf: null, stopping)).Configuration;
        var ledger = await ledgers.ReadAsync(farm, season: null, asOf: null, stopping);
        var interruptions = await app
            .Services.GetRequiredService<InterruptionQuery>()
            .NowAsync(farm, configuration, stopping);
        SeasonSummary.Print(AnsiConsole.Console, configuration, ledger, interruptions, units);
        await PitDays.PrintAsync(
            AnsiConsole.Console,
            app.Services.GetRequiredService<ReconciliationQuery>(),
            farm,
            configuration,
            ledger,
            stopping
        );
        var sound = TruthComparison.Print(AnsiConsole.Console, configuration, ledger, streams, isCorrected: false);
        sound &= await CorrectAsync(app, farm, streams, units, stopping);
        configuration = (await configurations.ReadAsync(farm, asOf: null, stopping)).Configuration;
        sound &= TruthComparison.Print(AnsiConsole.Console, configuration, ledger, streams, isCorrected: true);
        await app.StopAsync(CancellationToken.None);
        return sound ? 0 : 1;
    }

    /// <summary>Imports laboratory reports after the season and corrects the past by them.</summary>
    private static async Task<bool> CorrectAsync(
        WebApplication app,
        string farm,
        string streams,
        SummaryUnits units,
        CancellationToken stopping
    )
    {
        using var hub = new HttpClient { BaseAddress = new($"http://127.0.0.1:{HubHost.PortsOf(app).Http}/") };
        var reports = new LabImport(
            app.Services.GetRequiredService<ConfigurationStore>(),
            app.Services.GetRequiredService<SampleReader>()
        );
        return await new SensorCorrection(
            AnsiConsole.Console,
            hub,
            (title, changes) => AnsiConsole.Write(ChangeTable.Of(title, changes, units))
        ).RunAsync(reports, farm, streams, stopping);
    }

    /// <summary>Waits until the ledgers are posted up to the journal's end.</summary>
    /// <exception cref="HubStartException">They made no progress for a minute.</exception>
    private static async Task PostedAsync(DeviceReader positions, CancellationToken stopping)
    {
        var (at, since) = (-1L, TimeProvider.System.GetTimestamp());
        while (await positions.PositionsAsync(stopping) is var (journal, posted) && posted < journal)
        {
            if (posted != at)
                (at, since) = (posted, TimeProvider.System.GetTimestamp());
            else if (TimeProvider.System.GetElapsedTime(since) > StandstillMax)
                throw new HubStartException(
                    $"The ledgers stopped at position {posted} of {journal}. No data is lost; see the log above. Fix the cause and start the demo again."
                );
            await Task.Delay(50, stopping);
        }
    }
}
