using System.Diagnostics;
using Marten;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Npgsql;
using NutrientLedger.Persistence;

namespace NutrientLedger.Benchmarks;

/// <summary>
/// The floor for a replay when nobody may read meanwhile: the ledgers of all farms are emptied and Marten rebuilds its
/// projection in place, event batch by event batch. No hub runs then. It comes last, because all ledgers are missing
/// for a while.
/// </summary>
internal static class RebuildFloor
{
    private const string Projection = "Ledger";

    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(30);

    /// <summary>
    /// Compares the lines of a farm without corrections. With corrections, Marten's rebuild would use the configuration
    /// before them.
    /// </summary>
    public static async Task RunAsync(string connectionString, string uncorrected, long readings)
    {
        var builder = Host.CreateEmptyApplicationBuilder(new());
        builder.Logging.SetMinimumLevel(LogLevel.None);
        builder.Services.AddSingleton(TimeProvider.System);
        builder.Services.AddPersistence(connectionString, keepsLedgersCurrent: true);
        using var host = builder.Build();
        var (before, _) = await TotalsAsync(connectionString, uncorrected);
        await using (var source = NpgsqlDataSource.Create(connectionString))
        await using (
            var empty = source.CreateCommand(
                "truncate ledger.farm, ledger.partition, ledger.line, ledger.flag, ledger.tile, ledger.level"
            )
        )
            await empty.ExecuteNonQueryAsync();
        using var daemon = await host.Services.GetRequiredService<IDocumentStore>().BuildProjectionDaemonAsync();
        var watch = Stopwatch.StartNew();
        await daemon.RebuildProjectionAsync(Projection, Patience, CancellationToken.None);
        var took = watch.Elapsed.TotalSeconds;
        var (after, volume) = await TotalsAsync(connectionString, uncorrected);
        if (after != before)
            throw new InvalidOperationException($"The rebuild made {after} lines where there were {before}.");
        Console.WriteLine(
            $"Marten's own rebuild of all ledgers in place ({after} lines and {volume} m³ of {uncorrected} as before): {took:0.0} s for {readings} readings ({readings / took:0} readings/s)"
        );
    }

    private static async Task<(long Lines, long CubicMetres)> TotalsAsync(string connectionString, string farm)
    {
        await using var source = NpgsqlDataSource.Create(connectionString);
        await using var count = source.CreateCommand(
            """
            select count(*), (coalesce(sum(volume), 0) / 1000000)::bigint
            from ledger.line join ledger.partition using (farm, season, applicator, generation) where farm = $1
            """
        );
        count.Parameters.Add(new() { Value = farm });
        await using var rows = await count.ExecuteReaderAsync();
        await rows.ReadAsync();
        return (rows.GetInt64(0), rows.GetInt64(1));
    }
}
