using Npgsql;
using NutrientLedger.Ledger.Corrections;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.ReadModel;

namespace NutrientLedger.Persistence.Statements;

/// <summary>
/// The tables of statements, which are kept for ever, and of the position up to which each farm's corrections have one.
/// </summary>
internal static class StatementRows
{
    /// <summary>Makes the tables.</summary>
    public const string Definition = $"""
        create table {Table} (
            farm text, position bigint, body text not null, made_at timestamptz not null default now(),
            primary key (farm, position)
        );

        create table {ProgressTable} (farm text primary key, position bigint not null);
        """;

    private const string Table = "ledger.statement";

    private const string ProgressTable = "ledger.statement_progress";

    /// <summary>
    /// Farms with configuration events that are posted but not yet processed, and the positions between which they lie.
    /// </summary>
    public static Task<List<(string FarmId, long After, long UpTo)>> PendingAsync(
        NpgsqlDataSource source,
        CancellationToken cancellationToken
    ) =>
        source
            .Command(
                $"""
                select posted.farm, coalesce(done.position, 0), newest.position
                from ({PostedFarmRows.Posted}) as posted
                left join {ProgressTable} as done on done.farm = posted.farm
                cross join lateral (select position from journal.event
                    where farm = posted.farm and stream = '{JournalReader.ConfigurationStream}'
                        and position + 0 <= posted.position
                    order by version desc limit 1) as newest
                where newest.position > coalesce(done.position, 0) order by 1
                """
            )
            .ListAsync(row => (row.GetString(0), row.GetInt64(1), row.GetInt64(2)), cancellationToken);

    /// <summary>A farm's statements after a position, in the order of the journal, up to a limit.</summary>
    public static Task<List<StoredStatement>> ListAsync(
        NpgsqlConnection connection,
        string farmId,
        long after,
        int? limit,
        CancellationToken cancellationToken
    ) =>
        connection
            .Command(
                $"""
                select position, body, made_at from {Table}
                where farm = $1 and position > $2 order by position limit $3::bigint
                """,
                farmId,
                after,
                (long?)limit
            )
            .ListAsync(
                row => new StoredStatement(row.GetInt64(0), row.GetString(1), row.GetFieldValue<DateTimeOffset>(2)),
                cancellationToken
            );

    /// <summary>Stores a statement and notes that its correction is done, both or neither.</summary>
    public static async Task StoreAsync(
        NpgsqlDataSource source,
        string farmId,
        BuiltStatement built,
        CancellationToken cancellationToken
    )
    {
        await using var connection = await source.OpenConnectionAsync(cancellationToken);
        await using var transaction = await connection.BeginTransactionAsync(cancellationToken);
        await connection.ExecuteAsync(
            $"insert into {Table} (farm, position, body) values ($1, $2, $3) on conflict do nothing",
            cancellationToken,
            farmId,
            built.Position,
            StatementCodec.Encode(built.Statement)
        );
        await AdvanceAsync(connection, farmId, built.Position, cancellationToken);
        await transaction.CommitAsync(cancellationToken);
    }

    /// <summary>Notes up to which configuration event a farm's corrections are done. It never goes back.</summary>
    public static Task AdvanceAsync(
        NpgsqlConnection connection,
        string farmId,
        long position,
        CancellationToken cancellationToken
    ) =>
        connection.ExecuteAsync(
            $"""
            insert into {ProgressTable} as old (farm, position) values ($1, $2)
            on conflict (farm) do update set position = greatest(old.position, excluded.position)
            """,
            cancellationToken,
            farmId,
            position
        );

    /// <summary>Up to which configuration event a farm's corrections are done. 0 before the first.</summary>
    public static async Task<long> ProgressAsync(
        NpgsqlConnection connection,
        string farmId,
        CancellationToken cancellationToken
    )
    {
        await using var command = connection.Command($"select position from {ProgressTable} where farm = $1", farmId);
        return await command.ExecuteScalarAsync(cancellationToken) as long? ?? 0;
    }
}
