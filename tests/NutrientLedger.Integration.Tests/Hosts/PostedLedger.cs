using Microsoft.Extensions.DependencyInjection;
using NutrientLedger.Ledger.Readings;
using NutrientLedger.Persistence;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Persistence.Verification;
using NutrientLedger.Web.Contracts.Storage;
using NutrientLedger.Web.Queries;
using NutrientLedger.Web.Queries.Storage;

namespace NutrientLedger.Integration.Tests.Hosts;

/// <summary>Reads the database of a hub from outside, with its own readers.</summary>
internal sealed class PostedLedger : IAsyncDisposable
{
    public const string Farm = "larch-hollow";

    private readonly ServiceProvider services;

    public PostedLedger(string connectionString) => services = Services(connectionString);

    /// <summary>Persistence next to the hub's, which keeps no ledgers current itself.</summary>
    public static ServiceProvider Services(string connectionString) =>
        new ServiceCollection()
            .AddLogging()
            .AddSingleton(TimeProvider.System)
            .AddPersistence(connectionString, keepsLedgersCurrent: false)
            .BuildServiceProvider();

    /// <summary>The newest position of the journal.</summary>
    public async Task<long> JournalAsync() =>
        (await services.GetRequiredService<DeviceReader>().PositionsAsync(CancellationToken.None)).Journal;

    public Task<LedgerView> ReadAsync() =>
        services.GetRequiredService<LedgerReader>().ReadAsync(Farm, season: null, asOf: null, CancellationToken.None);

    public Task<IReadOnlyList<DeviceState>> DevicesAsync() =>
        services.GetRequiredService<DeviceReader>().DevicesAsync(Farm, CancellationToken.None);

    /// <summary>All findings in the readings of the recorded season.</summary>
    public async Task<IReadOnlyList<ReadingFinding>> FindingsAsync()
    {
        var at = await services.GetRequiredService<ConfigurationStore>().ReadAsync(Farm, null, CancellationToken.None);
        return await services
            .GetRequiredService<FindingReader>()
            .FindAsync(
                Farm,
                at.Configuration,
                new(2025, 10, 1, 0, 0, 0, default),
                new(2026, 12, 1, 0, 0, 0, default),
                default
            );
    }

    public Task<AuditReport> AuditAsync() =>
        services.GetRequiredService<LedgerAudit>().RunAsync(Farm, CancellationToken.None);

    /// <summary>
    /// The days of the season on which something was drawn from a pit by meter, each with its result.
    /// </summary>
    public async Task<IReadOnlyList<ReconciledDayResponse>> DrawnDaysAsync(string pit)
    {
        var clock = new FarmClock(TimeProvider.System);
        var query = new ReconciliationQuery(
            services.GetRequiredService<ConfigurationStore>(),
            services.GetRequiredService<LedgerReader>(),
            services.GetRequiredService<PitReadings>(),
            new InterruptionQuery(services.GetRequiredService<DeviceReader>(), clock),
            clock
        );
        var (answer, problem) = await query.AskAsync(
            Farm,
            pit,
            "2025-10-01",
            "2026-11-01",
            asOf: null,
            CancellationToken.None
        );
        Assert.Null(problem);
        return [.. answer!.Days.Where(day => day.MeteredCubicMetres > 0)];
    }

    public ValueTask DisposeAsync() => services.DisposeAsync();
}
