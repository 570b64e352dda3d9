using Npgsql;

namespace NutrientLedger.Integration.Tests.Demo;

/// <summary>
/// Stops a running hub at a chosen point from outside: while a lock on one of the ledger's tables is held, the projection stands
/// still inside its transaction, and the hub can be killed exactly there.
/// </summary>
internal sealed class Phase : IAsyncDisposable
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(60);

    private readonly NpgsqlDataSource source;
    private readonly NpgsqlConnection holder;
    private readonly NpgsqlTransaction transaction;
    private readonly string table;

    private Phase(NpgsqlDataSource source, NpgsqlConnection holder, NpgsqlTransaction transaction, string table) =>
        (this.source, this.holder, this.transaction, this.table) = (source, holder, transaction, table);

    /// <summary>Takes the lock: readers pass, writers wait.</summary>
    public static async Task<Phase> HoldAsync(string connectionString, string table)
    {
        var source = NpgsqlDataSource.Create(connectionString + ";Pooling=false");
        var holder = await source.OpenConnectionAsync();
        var transaction = await holder.BeginTransactionAsync();
        await using var take = new NpgsqlCommand($"lock table {table} in share mode", holder);
        await take.ExecuteNonQueryAsync();
        return new(source, holder, transaction, table);
    }

    /// <summary>Waits until a writer of the hub stands at the lock; false when none came.</summary>
    public async Task<bool> SomebodyWaitsAsync()
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
