using Microsoft.Extensions.Hosting;
using Npgsql;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.ReadModel;
using NutrientLedger.Persistence.Scheduling;

namespace NutrientLedger.Persistence.Rebuild;

/// <summary>
/// Posts anew the ledgers that an older version of the hub posted in another shape, before any new page is posted. Each farm is
/// posted beside its old rows and switched in one transaction; readers see the old ledger until then.
/// </summary>
public sealed class ReadModelUpgrade(NpgsqlDataSource source, RightOfWay way, TimeProvider time) : IHostedService
{
    private static readonly TimeSpan RetryAfter = TimeSpan.FromMilliseconds(200);

    public async Task StartAsync(CancellationToken cancellationToken)
    {
        // Hubs that start at once take turns, so that none posts anew what another just has.
        await using var connection = await source.OpenConnectionAsync(cancellationToken);
        await using var transaction = await connection.BeginTransactionAsync(cancellationToken);
        await connection.ExecuteAsync("select pg_advisory_xact_lock(hashtext('old shapes'))", cancellationToken);
        // Nothing arrives yet, so all processors may post.
        using var threads = new BesideThreads(Environment.ProcessorCount);
        while (await FindAsync(cancellationToken) is [_, ..] found)
            foreach (var farmId in found)
                if (!await threads.RunAsync(() => RebuildAsync(farmId, threads, cancellationToken), cancellationToken))
                    await Task.Delay(RetryAfter, time, cancellationToken);
        await transaction.CommitAsync(cancellationToken);
    }

    public Task StopAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    /// <summary>False while somebody else posts the farm anew, or changed it meanwhile.</summary>
    private async Task<bool> RebuildAsync(string farmId, BesideThreads threads, CancellationToken cancellationToken)
    {
        await using var beside = await BesideGeneration.BeginAsync(
            source,
            way,
            threads,
            farmId,
            underWantedRegister: false,
            cancellationToken
        );
        if (beside is null)
            return false;
        await beside.PostAsync(beside.Live.Position, progress: null, cancellationToken);
        if (!await beside.SwitchAsync(cancellationToken))
            return false;
        await beside.DropAllButAsync(beside.Generation, cancellationToken);
        return true;
    }

    private async Task<List<string>> FindAsync(CancellationToken cancellationToken)
    {
        await using var command = source.Command(
            "select farm from ledger.generation where shape < $1 order by farm",
            LedgerTables.Version
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var found = new List<string>();
        while (await rows.ReadAsync(cancellationToken))
            found.Add(rows.GetString(0));
        return found;
    }
}
