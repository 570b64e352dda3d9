using Npgsql;

namespace NutrientLedger.Store;

/// <summary>Short forms for statements with parameters $1, $2 … in order; a missing value is a null.</summary>
internal static class Sql
{
    public static NpgsqlCommand Command(
        this NpgsqlConnection connection,
        string sql,
        params ReadOnlySpan<object?> values
    ) => With(new(sql, connection), values);

    public static NpgsqlCommand Command(
        this NpgsqlDataSource source,
        string sql,
        params ReadOnlySpan<object?> values
    ) => With(source.CreateCommand(sql), values);

    public static async Task RunAsync(
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

    private static NpgsqlCommand With(NpgsqlCommand command, ReadOnlySpan<object?> values)
    {
        foreach (var value in values)
            command.Parameters.Add(new() { Value = value ?? DBNull.Value });
        return command;
    }
}
