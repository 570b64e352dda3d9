using Npgsql;
using NutrientLedger.Ledger;

namespace NutrientLedger.Store;

/// <summary>Rows of the live generation that a correction does not touch, taken over into the one beside it.</summary>
internal static class CopiedRows
{
    /// <summary>Copies inside a transaction of the connection, so that all tables are copied as of one position.</summary>
    public static async Task CopyAsync(
        NpgsqlConnection connection,
        CurrentGeneration live,
        int generation,
        Touched touched,
        CancellationToken cancellationToken
    )
    {
        foreach (var table in LedgerTables.Rows)
        {
            if (Left(table, touched) is not var (column, left))
                continue;
            var columns = await LedgerTables.ColumnsAsync(connection, table, cancellationToken);
            await using var copy = connection.Command(
                $"""
                insert into ledger.{table} (generation, {columns}) select $3, {columns} from ledger.{table}
                where farm = $1 and generation = $2 and {column} <> all($4)
                """,
                live.FarmId,
                live.Generation,
                generation,
                left
            );
            // A big farm on a slow disk takes its time; whoever stops the hub cancels it.
            copy.CommandTimeout = 0;
            await copy.ExecuteNonQueryAsync(cancellationToken);
        }
    }

    /// <summary>Which rows of a table stay behind, by the values of a column; nothing when all do.</summary>
    private static (string Column, string[] Values)? Left(string table, Touched touched) =>
        table switch
        {
            "line" or "flag" => ("applicator", [.. touched.Applicators]),
            "tile" => ("field", [.. touched.Fields]),
            "level" => touched.Levels ? null : ("pit", []),
            _ => throw new InvalidOperationException($"It is not said which rows of {table} a correction touches."),
        };
}
