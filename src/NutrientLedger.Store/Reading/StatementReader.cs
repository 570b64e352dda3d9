using Npgsql;

namespace NutrientLedger.Store;

/// <summary>A statement as it is kept: its exact text, and when it was made.</summary>
public sealed record KeptStatement(long Position, string Text, DateTimeOffset MadeAt);

/// <summary>Reads the statements that are kept.</summary>
public sealed class StatementReader(NpgsqlDataSource source)
{
    /// <summary>A farm's statements after a position, in the order of the journal, at most so many.</summary>
    public async Task<IReadOnlyList<KeptStatement>> ListAsync(
        string farmId,
        long after,
        int most,
        CancellationToken cancellationToken
    )
    {
        await using var connection = await source.OpenConnectionAsync(cancellationToken);
        return await ListAsync(connection, farmId, after, most, cancellationToken);
    }

    /// <summary>The statement of the correction at a position, or nothing.</summary>
    public async Task<KeptStatement?> FindAsync(string farmId, long position, CancellationToken cancellationToken) =>
        (await ListAsync(farmId, position - 1, 1, cancellationToken)).FirstOrDefault(kept => kept.Position == position);

    internal static async Task<List<KeptStatement>> ListAsync(
        NpgsqlConnection connection,
        string farmId,
        long after,
        int? most,
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
            (long?)most
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var kept = new List<KeptStatement>();
        while (await rows.ReadAsync(cancellationToken))
            kept.Add(new(rows.GetInt64(0), rows.GetString(1), rows.GetFieldValue<DateTimeOffset>(2)));
        return kept;
    }
}
