using Marten;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Journal;
using NutrientLedger.Persistence;
using NutrientLedger.Persistence.Appending;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.DeadLetters;
using NutrientLedger.Persistence.Messages;
using NutrientLedger.Persistence.Projections;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Persistence.Rebuild;
using NutrientLedger.Persistence.Verification;

namespace NutrientLedger.Integration.Tests.Hosts;

/// <summary>Persistence running on a database, as in one hub. Several on one database act as several hubs.</summary>
internal sealed class PersistenceTestHost : IAsyncDisposable
{
    /// <summary>Far longer than any step takes; reached only by a failing test.</summary>
    public static readonly TimeSpan Patience = TimeSpan.FromMinutes(4);

    private readonly IHost host;

    private PersistenceTestHost(IHost host) => this.host = host;

    public JournalWriter Writer => host.Services.GetRequiredService<JournalWriter>();

    public ConfigurationStore Configurations => host.Services.GetRequiredService<ConfigurationStore>();

    public LedgerReader Ledgers => host.Services.GetRequiredService<LedgerReader>();

    public IDocumentStore Marten => host.Services.GetRequiredService<IDocumentStore>();

    public DeviceReader Devices => host.Services.GetRequiredService<DeviceReader>();

    public DeadLetterQueue DeadLetters => host.Services.GetRequiredService<DeadLetterQueue>();

    public object Meters => host.Services.GetRequiredService<System.Diagnostics.Metrics.IMeterFactory>();

    public LedgerRebuild Replay => host.Services.GetRequiredService<LedgerRebuild>();

    public LedgerFeed Feed => host.Services.GetRequiredService<LedgerFeed>();

    public static async Task<PersistenceTestHost> StartAsync(
        string connectionString,
        bool keepsLedgersCurrent = true,
        Action<IServiceCollection>? configure = null
    )
    {
        var builder = Host.CreateEmptyApplicationBuilder(new());
        builder.Logging.SetMinimumLevel(LogLevel.None);
        builder.Services.AddSingleton(TimeProvider.System);
        builder.Services.AddPersistence(connectionString, keepsLedgersCurrent);
        builder.Services.AddHealthChecks().AddCheck<PersistenceHealth>("store");
        configure?.Invoke(builder.Services);
        var host = builder.Build();
        await host.StartAsync();
        return new(host);
    }

    /// <summary>Records configuration events after all that are there.</summary>
    public async Task RecordAsync(string farm, params IReadOnlyList<IJournalEvent> events)
    {
        var configuration = await Configurations.ReadAsync(farm, asOf: null, CancellationToken.None);
        await Configurations.RecordAsync(farm, configuration.Version, events, CancellationToken.None);
    }

    public Task<IReadOnlyList<AppendResult>> AppendAsync(params IReadOnlyList<DecodedMessage> arrived) =>
        Writer.AppendAsync(arrived, [], CancellationToken.None);

    public Task<LedgerView> ReadAsync(string farm = Some.Farm, long? asOf = null) =>
        Ledgers.ReadAsync(farm, season: null, asOf, CancellationToken.None);

    public Task<AuditReport> AuditAsync(string farm = Some.Farm) =>
        host.Services.GetRequiredService<LedgerAudit>().RunAsync(farm, CancellationToken.None);

    public async Task<Microsoft.Extensions.Diagnostics.HealthChecks.HealthReport> HealthAsync() =>
        await host
            .Services.GetRequiredService<Microsoft.Extensions.Diagnostics.HealthChecks.HealthCheckService>()
            .CheckHealthAsync();

    /// <summary>Waits until everything in the journal is posted. Returns the position.</summary>
    public async Task<long> PostedAsync()
    {
        long posted = -1;
        await UntilAsync(async () =>
        {
            (var journal, posted) = await Devices.PositionsAsync(CancellationToken.None);
            return posted >= journal;
        });
        return posted;
    }

    public static async Task UntilAsync(Func<Task<bool>> condition)
    {
        using var limit = new CancellationTokenSource(Patience);
        while (!await condition())
            await Task.Delay(5, limit.Token);
    }

    public async ValueTask DisposeAsync()
    {
        await host.StopAsync();
        if (host is IAsyncDisposable disposable)
            await disposable.DisposeAsync();
    }
}
