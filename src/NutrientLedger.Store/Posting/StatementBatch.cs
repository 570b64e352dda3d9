using System.Text;
using Npgsql;

namespace NutrientLedger.Store;

/// <summary>Statements with ? for their values, gathered to be run together on one connection.</summary>
internal sealed class StatementBatch(NpgsqlConnection connection) : IAsyncDisposable
{
    private readonly NpgsqlBatch batch = new(connection);

    public void Queue(string sql, params object[] values)
    {
        var numbered = new StringBuilder();
        var parts = sql.Split('?');
        numbered.Append(parts[0]);
        for (var i = 1; i < parts.Length; i++)
            numbered.Append('$').Append(i).Append(parts[i]);
        batch.BatchCommands.Add(Sql.BatchCommand(numbered.ToString(), values));
    }

    public async Task RunAsync(CancellationToken cancellationToken)
    {
        if (batch.BatchCommands.Count > 0)
            await batch.ExecuteNonQueryAsync(cancellationToken);
    }

    /// <summary>Runs one statement after another, each by itself, and something before each.</summary>
    public async Task RunAsync(Func<CancellationToken, ValueTask> before, CancellationToken cancellationToken)
    {
        var statements = batch.BatchCommands.Cast<NpgsqlBatchCommand>().ToList();
        foreach (var statement in statements)
        {
            batch.BatchCommands.Clear();
            batch.BatchCommands.Add(statement);
            await before(cancellationToken);
            await batch.ExecuteNonQueryAsync(cancellationToken);
        }
    }

    public ValueTask DisposeAsync() => batch.DisposeAsync();
}
