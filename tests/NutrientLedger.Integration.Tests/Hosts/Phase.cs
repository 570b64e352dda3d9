using Npgsql;

namespace NutrientLedger.Integration.Tests.Hosts;

/// <summary>
/// Stops a running hub at a chosen statement from outside: while a lock is held on what the statement writes, the hub
/// stands still there, inside its transaction, and can be killed exactly there.
/// </summary>
internal sealed class Phase : IAsyncDisposable
{
    /// <summary>
    /// Holds the tiles of the generation to come by keys that are written but not committed: whoever posts beside the
    /// live ledger waits there, while deleting what is left of earlier attempts does not.
    /// </summary>
    public const string TilesBeside = """
        insert into ledger.tile (farm, generation, field, season, tile_row, tile_column, visits, covered, overlapped)
        select farm, generation + 1, field, season, tile_row, tile_column, visits, covered, overlapped
        from ledger.tile join ledger.generation using (farm, generation)
        """;

    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(4);

    private readonly NpgsqlDataSource source;
    private readonly NpgsqlConnection holder;
    private readonly NpgsqlTransaction transaction;

    private Phase(NpgsqlDataSource source, NpgsqlConnection holder, NpgsqlTransaction transaction) =>
        (this.source, this.holder, this.transaction) = (source, holder, transaction);

    /// <summary>Takes the lock with a statement of its own, and keeps it.</summary>
    public static async Task<Phase> HoldAsync(string connectionString, string lockStatement)
    {
        var source = NpgsqlDataSource.Create(connectionString + ";Pooling=false");
        var holder = await source.OpenConnectionAsync();
        var transaction = await holder.BeginTransactionAsync();
        await using var take = new NpgsqlCommand(lockStatement, holder);
        await take.ExecuteNonQueryAsync();
        return new(source, holder, transaction);
    }

    /// <summary>Waits until a writer of the hub stands at a table that is held; false when none came.</summary>
    public async Task<bool> SomebodyWaitsForAsync(string table)
    {
        using var limit = new CancellationTokenSource(Patience);
        await using var look = source.CreateCommand(
            "select exists (select 1 from pg_locks where relation = $1::regclass and not granted)"
        );
        look.Parameters.Add(new() { Value = table });
        while (!limit.IsCancellationRequested)
        {
            if (await look.ExecuteScalarAsync() is true)
                return true;
            await Task.Delay(20);
        }
        return false;
    }

    public async ValueTask DisposeAsync()
    {
        await transaction.DisposeAsync();
        await holder.DisposeAsync();
        await source.DisposeAsync();
    }
}
