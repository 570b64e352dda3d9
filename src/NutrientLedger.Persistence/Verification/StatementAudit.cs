using Npgsql;
using NutrientLedger.Ledger.Corrections;
using NutrientLedger.Persistence.Statements;

namespace NutrientLedger.Persistence.Verification;

/// <summary>
/// Makes every statement of a farm again from the journal and compares it with the stored text, letter by letter.
/// </summary>
internal static class StatementAudit
{
    /// <summary>Returns how many statements are stored. What is wrong with them goes on the list.</summary>
    public static async Task<int> RunAsync(
        NpgsqlConnection connection,
        StatementBuilder builder,
        string farmId,
        List<string> findings,
        CancellationToken cancellationToken
    )
    {
        var stored = await StatementRows.ListAsync(connection, farmId, 0, null, cancellationToken);
        var doneUpTo = await StatementRows.ProgressAsync(connection, farmId, cancellationToken);
        var unexplained = stored.ToDictionary(statement => statement.Position, statement => statement.Text);
        await foreach (var built in builder.BuildAsync(farmId, 0, doneUpTo, cancellationToken))
            if (!unexplained.Remove(built.Position, out var text))
                findings.Add($"statement {built.Position} is missing");
            else if (!StatementCodec.IsKeptAs(built.Statement, text))
                findings.Add($"statement {built.Position}: the stored text differs from one built from the journal");
        findings.AddRange(unexplained.Keys.Select(position => $"statement {position} belongs to no correction"));
        return stored.Count;
    }
}
