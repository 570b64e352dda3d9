using Npgsql;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.Statements;

/// <summary>A statement as it is kept: its exact text, and when it was made.</summary>
public sealed record StoredStatement(long Position, string Text, DateTimeOffset MadeAt);

/// <summary>Reads the statements that are kept.</summary>
public sealed class StatementReader(NpgsqlDataSource source)
{
    /// <summary>A farm's statements after a position, in the order of the journal, at most so many.</summary>
    public async Task<IReadOnlyList<StoredStatement>> ListAsync(
        string farmId,
        long after,
        int limit,
        CancellationToken cancellationToken
    )
    {
        await using var connection = await source.OpenConnectionAsync(cancellationToken);
        return await ListAsync(connection, farmId, after, limit, cancellationToken);
    }

    /// <summary>The statement of the correction at a position, or nothing.</summary>
    public async Task<StoredStatement?> FindAsync(string farmId, long position, CancellationToken cancellationToken) =>
        (await ListAsync(farmId, position - 1, 1, cancellationToken)).FirstOrDefault(stored =>
            stored.Position == position
        );

    internal static async Task<List<StoredStatement>> ListAsync(
        NpgsqlConnection connection,
        string farmId,
        long after,
        int? limit,
        CancellationToken cancellationToken
    )
    {
        await using var command = connection.Command(
            """
            select position, body, made_at from ledger.statement
            where farm = $1 and position > $2 order by position limit $3::bigint
            """,
            farmId,
            after,
            (long?)limit
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var stored = new List<StoredStatement>();
        while (await rows.ReadAsync(cancellationToken))
            stored.Add(new(rows.GetInt64(0), rows.GetString(1), rows.GetFieldValue<DateTimeOffset>(2)));
        return stored;
    }
}
