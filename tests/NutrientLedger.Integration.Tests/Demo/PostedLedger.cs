using Microsoft.Extensions.DependencyInjection;
using NutrientLedger.Ledger;
using NutrientLedger.Store;

namespace NutrientLedger.Integration.Tests.Demo;

/// <summary>Looks into the database of a hub from outside, with readers of its own.</summary>
internal sealed class PostedLedger : IAsyncDisposable
{
    public const string Farm = "larch-hollow";

    private readonly ServiceProvider services;

    public PostedLedger(string connectionString) => services = Services(connectionString);

    /// <summary>A store beside the hub's, that keeps no ledgers current itself.</summary>
    public static ServiceProvider Services(string connectionString) =>
        new ServiceCollection()
            .AddLogging()
            .AddSingleton(TimeProvider.System)
            .AddStore(connectionString, keepsLedgersCurrent: false)
            .BuildServiceProvider();

    /// <summary>The newest position of the journal.</summary>
    public async Task<long> JournalAsync() =>
        (await services.GetRequiredService<DeviceReader>().PositionsAsync(CancellationToken.None)).Journal;

    public Task<LedgerView> ReadAsync() =>
        services.GetRequiredService<LedgerReader>().ReadAsync(Farm, season: null, asOf: null, CancellationToken.None);

    public Task<IReadOnlyList<DeviceState>> DevicesAsync() =>
        services.GetRequiredService<DeviceReader>().DevicesAsync(Farm, CancellationToken.None);

    /// <summary>What looks wrong in all readings of the recorded season.</summary>
    public async Task<IReadOnlyList<ReadingFinding>> FindingsAsync()
    {
        var at = await services.GetRequiredService<RegisterStore>().ReadAsync(Farm, null, CancellationToken.None);
        return await services
            .GetRequiredService<FindingReader>()
            .FindAsync(
                Farm,
                at.Register,
                new(2025, 10, 1, 0, 0, 0, default),
                new(2026, 12, 1, 0, 0, 0, default),
                default
            );
    }

    public Task<AuditReport> AuditAsync() =>
        services.GetRequiredService<LedgerAudit>().RunAsync(Farm, CancellationToken.None);

    public ValueTask DisposeAsync() => services.DisposeAsync();
}
