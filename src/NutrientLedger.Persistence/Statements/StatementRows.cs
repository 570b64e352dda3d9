using Npgsql;
using NutrientLedger.Ledger.Corrections;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Events;

namespace NutrientLedger.Persistence.Statements;

/// <summary>Reads and writes the rows of kept statements.</summary>
internal static class StatementRows
{
    /// <summary>Farms that hold register entries which are posted but not yet looked at, and between which positions.</summary>
    public static async Task<List<(string FarmId, long After, long UpTo)>> PendingAsync(
        NpgsqlDataSource source,
        CancellationToken cancellationToken
    )
    {
        await using var command = source.Command(
            $"""
            select g.farm, coalesce(m.position, 0), max(e.seq_id)
            from ledger.generation g
            left join ledger.statement_progress m on m.farm = g.farm
            join journal.mt_events e on e.tenant_id = g.farm and e.stream_id = '{JournalReader.ConfigurationStream}'
                and e.seq_id > coalesce(m.position, 0) and e.seq_id <= g.position
            group by 1, 2 order by 1
            """
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var waiting = new List<(string, long, long)>();
        while (await rows.ReadAsync(cancellationToken))
            waiting.Add((rows.GetString(0), rows.GetInt64(1), rows.GetInt64(2)));
        return waiting;
    }

    /// <summary>Keeps a statement and notes that its correction is done with, both or neither.</summary>
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
            "insert into ledger.statement (farm, position, body) values ($1, $2, $3) on conflict do nothing",
            cancellationToken,
            farmId,
            built.Position,
            StatementCodec.Encode(built.Statement)
        );
        await AdvanceAsync(connection, farmId, built.Position, cancellationToken);
        await transaction.CommitAsync(cancellationToken);
    }

    /// <summary>Notes up to which register entry a farm's corrections are done with; it never goes back.</summary>
    public static Task AdvanceAsync(
        NpgsqlConnection connection,
        string farmId,
        long position,
        CancellationToken cancellationToken
    ) =>
        connection.ExecuteAsync(
            """
            insert into ledger.statement_progress as old (farm, position) values ($1, $2)
            on conflict (farm) do update set position = greatest(old.position, excluded.position)
            """,
            cancellationToken,
            farmId,
            position
        );
}
