using System.Text;
using Npgsql;

namespace NutrientLedger.Persistence.Database;

/// <summary>SQL commands with ? for their values, collected to be run together on one connection.</summary>
internal sealed class SqlCommandBatch(NpgsqlConnection connection) : IAsyncDisposable
{
    private readonly NpgsqlBatch batch = new(connection);

    public void Queue(string sql, params object[] values)
    {
        var numbered = new StringBuilder();
        var parts = sql.Split('?');
        numbered.Append(parts[0]);
        for (var i = 1; i < parts.Length; i++)
            numbered.Append('$').Append(i).Append(parts[i]);
        batch.BatchCommands.Add(SqlCommands.BatchCommand(numbered.ToString(), values));
    }

    public async Task ExecuteAsync(CancellationToken cancellationToken)
    {
        if (batch.BatchCommands.Count > 0)
            await batch.ExecuteNonQueryAsync(cancellationToken);
    }

    public ValueTask DisposeAsync() => batch.DisposeAsync();
}
