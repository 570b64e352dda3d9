using Npgsql;

namespace NutrientLedger.Persistence.Statements;

/// <summary>A stored statement: its exact text, and when it was made.</summary>
public sealed record StoredStatement(long Position, string Text, DateTimeOffset MadeAt);

/// <summary>Reads the stored statements.</summary>
public sealed class StatementReader(NpgsqlDataSource source)
{
    /// <summary>A farm's statements after a position, in the order of the journal, up to a limit.</summary>
    public async Task<IReadOnlyList<StoredStatement>> ListAsync(
        string farmId,
        long after,
        int limit,
        CancellationToken cancellationToken
    )
    {
        await using var connection = await source.OpenConnectionAsync(cancellationToken);
        return await StatementRows.ListAsync(connection, farmId, after, limit, cancellationToken);
    }

    /// <summary>The statement of the correction at a position, or null.</summary>
    public async Task<StoredStatement?> FindAsync(string farmId, long position, CancellationToken cancellationToken) =>
        (await ListAsync(farmId, position - 1, 1, cancellationToken)).FirstOrDefault(stored =>
            stored.Position == position
        );
}
