using Npgsql;

namespace NutrientLedger.Persistence.Postgres;

/// <summary>
/// Deletes everything in a database, for a demo that starts again. Never used on a farm's own journal.
/// </summary>
public static class EmptyDatabase
{
    /// <summary>Drops the database and makes it again, empty. Throws if another process uses it.</summary>
    public static async Task RecreateAsync(string connectionString, CancellationToken cancellationToken)
    {
        var there = new NpgsqlConnectionStringBuilder(connectionString);
        var name = there.Database!;
        var beside = new NpgsqlConnectionStringBuilder(connectionString) { Database = "postgres", Pooling = false };
        await using var source = NpgsqlDataSource.Create(beside.ConnectionString);
        try
        {
            var quoted = new NpgsqlCommandBuilder().QuoteIdentifier(name);
            await RunAsync(source, $"drop database if exists {quoted}", cancellationToken);
            await RunAsync(source, $"create database {quoted}", cancellationToken);
        }
        catch (PostgresException e) when (e.SqlState == PostgresErrorCodes.ObjectInUse)
        {
            throw new PrivatePostgresException("Another hub uses this database. Stop it, then start again.");
        }
    }

    private static async Task RunAsync(NpgsqlDataSource source, string sql, CancellationToken cancellationToken)
    {
        await using var command = source.CreateCommand(sql);
        await command.ExecuteNonQueryAsync(cancellationToken);
    }
}
