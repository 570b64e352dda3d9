using Npgsql;
using NutrientLedger.Ledger;

namespace NutrientLedger.Store;

/// <summary>Makes every statement of a farm again from the journal and compares it with the kept text, letter by letter.</summary>
internal static class StatementAudit
{
    /// <summary>How many statements are kept; what is wrong with them goes on the list.</summary>
    public static async Task<int> RunAsync(
        NpgsqlConnection connection,
        NpgsqlDataSource source,
        string farmId,
        List<string> findings,
        CancellationToken cancellationToken
    )
    {
        var kept = await StatementReader.ListAsync(connection, farmId, 0, null, cancellationToken);
        await using var command = connection.Command(
            "select position from ledger.statement_mark where farm = $1",
            farmId
        );
        var doneUpTo = await command.ExecuteScalarAsync(cancellationToken) as long? ?? 0;
        var unexplained = kept.ToDictionary(statement => statement.Position, statement => statement.Text);
        var maker = new StatementMaker(source, whole: true);
        await foreach (var made in maker.MakeAsync(farmId, 0, doneUpTo, cancellationToken))
            if (!unexplained.Remove(made.Position, out var text))
                findings.Add($"statement {made.Position} is missing");
            else if (text != StatementForm.Write(made.Statement))
                findings.Add(
                    $"statement {made.Position}: the kept one differs from the one made anew from the journal"
                );
        findings.AddRange(unexplained.Keys.Select(position => $"statement {position} is of no correction"));
        return kept.Count;
    }
}
