using Marten;
using Microsoft.Extensions.Hosting;
using Npgsql;

namespace NutrientLedger.Store;

/// <summary>
/// Posts anew the ledgers that an older version of the hub posted in another shape, before any new page is posted. Each farm is
/// posted beside its old rows and switched in one transaction; readers see the old ledger until then.
/// </summary>
public sealed class OldShapes(NpgsqlDataSource source, IDocumentStore store) : IHostedService
{
    private readonly JournalRows journal = new(source);

    public async Task StartAsync(CancellationToken cancellationToken)
    {
        // Hubs that start at once take turns, so that none posts anew what another just has.
        await using var connection = await source.OpenConnectionAsync(cancellationToken);
        await using var turn = await connection.BeginTransactionAsync(cancellationToken);
        await connection.RunAsync("select pg_advisory_xact_lock(hashtext('old shapes'))", cancellationToken);
        foreach (var old in await FindAsync(cancellationToken))
            await PostAnewAsync(old, cancellationToken);
        await turn.CommitAsync(cancellationToken);
    }

    public Task StopAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    private async Task PostAnewAsync(CurrentGeneration old, CancellationToken cancellationToken)
    {
        var register = await journal.RegisterAsync(old.FarmId, old.Position, cancellationToken);
        var book = await journal.PostAllAsync(old.FarmId, register, old.Position, cancellationToken);
        await using var session = store.LightweightSession();
        var write = new LedgerWriter(session, old.FarmId);
        write.MoveOn(old.Position, old.Generation + 1, old.Position);
        write.Add(book, old.Generation + 1);
        write.Drop(old.Generation);
        await session.SaveChangesAsync(cancellationToken);
    }

    private async Task<List<CurrentGeneration>> FindAsync(CancellationToken cancellationToken)
    {
        await using var command = source.Command(
            "select farm, generation, position from ledger.generation where shape < $1 order by farm",
            LedgerTables.Shape
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var found = new List<CurrentGeneration>();
        while (await rows.ReadAsync(cancellationToken))
            found.Add(new(rows.GetString(0), rows.GetInt32(1), rows.GetInt64(2)));
        return found;
    }
}
