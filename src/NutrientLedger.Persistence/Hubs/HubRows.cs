using Npgsql;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.Hubs;

/// <summary>
/// The table of running hubs, one row each. A hub renews its row. Who takes over from a hub deletes it. An append locks
/// the row of its hub against deletion until it ends, so after the deletion that hub can append nothing.
/// </summary>
internal static class HubRows
{
    /// <summary>Makes the table.</summary>
    public const string Definition = $"create table {Table} (name text primary key, beat_at timestamptz not null);";

    private const string Table = "ingestion.hub";

    /// <summary>In milliseconds. PostgreSQL ends a connection at once, unless it waits for its disk.</summary>
    private const int EndMillisecondsMax = 1_000;

    /// <summary>
    /// The command that returns a row unless the hub was replaced, and keeps it from being replaced until the
    /// transaction ends. For a command of the command line it returns a row always.
    /// </summary>
    public static NpgsqlBatchCommand Require(HubIdentity hub) =>
        hub.Name.Length == 0
            ? new("select 1")
            : SqlCommands.BatchCommand($"select 1 from {Table} where name = $1 for key share", hub.Name);

    /// <summary>Runs <see cref="Require"/> by itself.</summary>
    /// <exception cref="HubReplacedException">The hub was replaced.</exception>
    public static async Task RequireAsync(
        NpgsqlConnection connection,
        HubIdentity hub,
        CancellationToken cancellationToken
    )
    {
        await using var look = new NpgsqlBatch(connection) { BatchCommands = { Require(hub) } };
        if (await look.ExecuteScalarAsync(cancellationToken) is null)
            throw new HubReplacedException();
    }

    public static async Task AddAsync(NpgsqlDataSource source, string name, CancellationToken cancellationToken)
    {
        await using var add = source.Command(
            $"insert into {Table} (name, beat_at) values ($1, clock_timestamp())",
            name
        );
        await add.ExecuteNonQueryAsync(cancellationToken);
    }

    /// <summary>Renews a hub's row. False when it has none any more.</summary>
    public static async Task<bool> BeatAsync(NpgsqlDataSource source, string name, CancellationToken cancellationToken)
    {
        await using var beat = source.Command($"update {Table} set beat_at = clock_timestamp() where name = $1", name);
        return await beat.ExecuteNonQueryAsync(cancellationToken) > 0;
    }

    /// <summary>Whether a hub has its row.</summary>
    public static async Task<bool> IsThereAsync(
        NpgsqlDataSource source,
        string name,
        CancellationToken cancellationToken
    )
    {
        await using var look = source.Command($"select exists (select 1 from {Table} where name = $1)", name);
        return await look.ExecuteScalarAsync(cancellationToken) is true;
    }

    /// <summary>Deletes a hub's row without asking anybody: it stops.</summary>
    public static async Task RemoveAsync(NpgsqlDataSource source, string name, CancellationToken cancellationToken)
    {
        await using var remove = source.Command($"delete from {Table} where name = $1", name);
        await remove.ExecuteNonQueryAsync(cancellationToken);
    }

    /// <summary>When each of the other hubs last renewed its row, by the database's clock.</summary>
    public static Task<List<(string Name, DateTimeOffset BeatAt)>> OthersAsync(
        NpgsqlDataSource source,
        string name,
        CancellationToken cancellationToken
    ) =>
        source
            .Command($"select name, beat_at from {Table} where name <> $1", name)
            .ListAsync(row => (row.GetString(0), row.GetFieldValue<DateTimeOffset>(1)), cancellationToken);

    /// <summary>
    /// Deletes a hub's row if it was not renewed meanwhile. False when it was, or while one of its appends runs.
    /// </summary>
    public static async Task<bool> RemoveSilentAsync(
        NpgsqlDataSource source,
        string name,
        DateTimeOffset beatAt,
        CancellationToken cancellationToken
    )
    {
        await using var remove = source.Command(
            $"""
            delete from {Table} where name in (
                select name from {Table} where name = $1 and beat_at = $2 for update skip locked)
            """,
            name,
            beatAt
        );
        return await remove.ExecuteNonQueryAsync(cancellationToken) > 0;
    }

    /// <summary>
    /// Ends all connections of hubs, so that PostgreSQL rolls back what they wrote and releases their locks. Returns
    /// how many there were.
    /// </summary>
    public static async Task<int> EndConnectionsAsync(
        NpgsqlDataSource source,
        IReadOnlyCollection<string> names,
        CancellationToken cancellationToken
    )
    {
        var ended = await source
            .Command(
                """
                select pg_terminate_backend(pid, $2) from pg_stat_activity
                where datname = current_database() and application_name = any($1)
                """,
                names.ToArray(),
                (long)EndMillisecondsMax
            )
            .ListAsync(row => row.GetBoolean(0), cancellationToken);
        return ended.Count;
    }
}
