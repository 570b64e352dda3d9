using Npgsql;

namespace NutrientLedger.Persistence.Database;

/// <summary>Short forms for statements with parameters $1, $2 … in order; a missing value is a null.</summary>
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
