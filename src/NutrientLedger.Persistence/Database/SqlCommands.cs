using Npgsql;

namespace NutrientLedger.Persistence.Database;

/// <summary>Short forms for SQL commands with parameters $1, $2 … in order. A missing value is a null.</summary>
internal static class SqlCommands
{
    public static NpgsqlCommand Command(
        this NpgsqlConnection connection,
        string sql,
        params ReadOnlySpan<object?> values
    ) => AddParameters(new(sql, connection), values);

    public static NpgsqlCommand Command(
        this NpgsqlDataSource source,
        string sql,
        params ReadOnlySpan<object?> values
    ) => AddParameters(source.CreateCommand(sql), values);

    public static async Task ExecuteAsync(
        this NpgsqlConnection connection,
        string sql,
        CancellationToken cancellationToken,
        params object?[] values
    )
    {
        await using var command = connection.Command(sql, values);
        await command.ExecuteNonQueryAsync(cancellationToken);
    }

    /// <summary>Runs a command, reads all its rows and disposes of it.</summary>
    public static async Task<List<T>> ListAsync<T>(
        this NpgsqlCommand command,
        Func<NpgsqlDataReader, T> read,
        CancellationToken cancellationToken
    )
    {
        await using var running = command;
        await using var rows = await running.ExecuteReaderAsync(cancellationToken);
        var list = new List<T>();
        while (await rows.ReadAsync(cancellationToken))
            list.Add(read(rows));
        return list;
    }

    /// <summary>The text in a column, or null.</summary>
    public static string? TextOrNull(this NpgsqlDataReader row, int column) =>
        row.IsDBNull(column) ? null : row.GetString(column);

    /// <summary>The time in a column, or null.</summary>
    public static DateTimeOffset? MomentOrNull(this NpgsqlDataReader row, int column) =>
        row.IsDBNull(column) ? null : row.GetFieldValue<DateTimeOffset>(column);

    public static NpgsqlBatchCommand BatchCommand(string sql, params ReadOnlySpan<object?> values)
    {
        var command = new NpgsqlBatchCommand(sql);
        foreach (var value in values)
            command.Parameters.Add(new() { Value = value ?? DBNull.Value });
        return command;
    }

    private static NpgsqlCommand AddParameters(NpgsqlCommand command, ReadOnlySpan<object?> values)
    {
        foreach (var value in values)
            command.Parameters.Add(new() { Value = value ?? DBNull.Value });
        return command;
    }
}
