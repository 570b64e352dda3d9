using Npgsql;

namespace NutrientLedger.Integration.Tests.Hosts;

/// <summary>
/// Stops a running hub at a chosen SQL command from outside. While a lock is held on what the command writes, the hub
/// waits there, inside its transaction, and can be killed at exactly that point.
/// </summary>
internal sealed class Phase : IAsyncDisposable
{
    /// <summary>
    /// Locks the tiles of the shadow generation by keys that are written but not committed. A rebuild waits there;
    /// deleting rows of earlier attempts does not.
    /// </summary>
    public const string ShadowTiles = """
        insert into ledger.tile
            (farm, season, applicator, generation, field, day, tile_row, tile_column, visits, position)
        select farm, season, applicator, farm.generation + 1, field, day, tile_row, tile_column, visits, tile.position
        from ledger.tile join ledger.partition using (farm, season, applicator, generation)
        join ledger.farm using (farm)
        """;

    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(4);

    private readonly NpgsqlDataSource source;
    private readonly NpgsqlConnection holder;
    private readonly NpgsqlTransaction transaction;

    private Phase(NpgsqlDataSource source, NpgsqlConnection holder, NpgsqlTransaction transaction) =>
        (this.source, this.holder, this.transaction) = (source, holder, transaction);

    /// <summary>Takes the lock with the given SQL command and keeps it.</summary>
    public static async Task<Phase> HoldAsync(string connectionString, string lockCommand)
    {
        var source = NpgsqlDataSource.Create(connectionString + ";Pooling=false");
        var holder = await source.OpenConnectionAsync();
        var transaction = await holder.BeginTransactionAsync();
        await using var take = new NpgsqlCommand(lockCommand, holder);
        await take.ExecuteNonQueryAsync();
        return new(source, holder, transaction);
    }

    /// <summary>Waits until a writer of the hub waits for a locked table; false when none came.</summary>
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
