using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using NutrientLedger.Persistence;
using NutrientLedger.Persistence.Appending;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Projections;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Persistence.Rebuild;
using NutrientLedger.Persistence.Statements;
using NutrientLedger.Persistence.Verification;

namespace NutrientLedger.Benchmarks;

/// <summary>
/// The hub in its own process, with the invented farm registered, and a reader of its ledgers in this process.
/// </summary>
internal sealed class BenchHub : IAsyncDisposable
{
    private readonly IHost reader;
    private readonly ChildProcess hub;
    private readonly HttpClient page;
    private bool stopped;

    private BenchHub(IHost reader, ChildProcess hub)
    {
        (this.reader, this.hub) = (reader, hub);
        page = new() { BaseAddress = new($"http://127.0.0.1:{hub.HttpPort}") };
    }

    public int MqttPort => hub.MqttPort;

    public int ProcessId => hub.Id;

    public LedgerReader Ledger => reader.Services.GetRequiredService<LedgerReader>();

    public LedgerAudit Audit => reader.Services.GetRequiredService<LedgerAudit>();

    /// <summary>HTTP client of the hub.</summary>
    public HttpClient Page => page;

    public ConfigurationStore Configurations => reader.Services.GetRequiredService<ConfigurationStore>();

    public JournalWriter Writer => reader.Services.GetRequiredService<JournalWriter>();

    public LedgerRebuild Replay => reader.Services.GetRequiredService<LedgerRebuild>();

    public StatementReader Statements => reader.Services.GetRequiredService<StatementReader>();

    public LedgerFeed Feed => reader.Services.GetRequiredService<LedgerFeed>();

    public static async Task<BenchHub> StartAsync(string connectionString)
    {
        var builder = Host.CreateEmptyApplicationBuilder(new());
        builder.Logging.SetMinimumLevel(LogLevel.None);
        builder.Services.AddSingleton(TimeProvider.System);
        builder.Services.AddPersistence(connectionString, keepsLedgersCurrent: false);
        builder.Services.AddSingleton<LedgerFeed>();
        builder.Services.AddHostedService(provider => provider.GetRequiredService<LedgerFeed>());
        var reader = builder.Build();
        await reader.StartAsync();
        var configurations = reader.Services.GetRequiredService<ConfigurationStore>();
        await configurations.RecordAsync(BenchFarm.Id, 0, BenchFarm.ConfigurationEvents(), CancellationToken.None);
        string[] run = ["run", "--database", connectionString, "--http-port", "0", "--mqtt-port", "0"];
        return new(reader, await ChildProcess.StartAsync("NutrientLedger.Hub.dll", run));
    }

    /// <summary>Waits until all that is in the journal is posted, so that the next measurement starts quiet.</summary>
    public async Task SettleAsync()
    {
        while (await EventsToPostAsync() > 0)
            await Task.Delay(50);
    }

    /// <summary>How many positions of the journal are not posted yet.</summary>
    public async Task<long> EventsToPostAsync()
    {
        var (journal, posted) = await reader
            .Services.GetRequiredService<DeviceReader>()
            .PositionsAsync(CancellationToken.None);
        return journal - posted;
    }

    /// <summary>Commits since the hub started: their count, their messages and their total duration.</summary>
    public async Task<Commits> CommitsAsync()
    {
        var metrics = await page.GetStringAsync("/metrics");
        return new(
            HubMetrics.Values(metrics, "ingestion_commit_messages_count").Sum()!.Value,
            HubMetrics.Values(metrics, "ingestion_commit_messages_sum").Sum()!.Value,
            HubMetrics.Values(metrics, "ingestion_commit_duration_seconds_sum").Sum()!.Value
        );
    }

    /// <summary>Ends the hub's process; the readers in this process stay.</summary>
    public async ValueTask StopAsync()
    {
        if (stopped)
            return;
        stopped = true;
        await hub.DisposeAsync();
    }

    public async ValueTask DisposeAsync()
    {
        page.Dispose();
        await StopAsync();
        await reader.StopAsync();
        reader.Dispose();
    }
}

/// <summary>The hub's counters of its commits; the duration is in seconds.</summary>
internal readonly record struct Commits(double Count, double Messages, double Seconds)
{
    public static Commits operator -(Commits late, Commits early) =>
        new(late.Count - early.Count, late.Messages - early.Messages, late.Seconds - early.Seconds);
}
