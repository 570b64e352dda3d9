using Npgsql;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.ReadModel;

namespace NutrientLedger.Persistence.Rebuild;

/// <summary>Rows of the live generation that a correction does not affect, copied into the shadow generation.</summary>
internal static class CopiedRows
{
    /// <summary>So many tiles are copied by one SQL command. That is some milliseconds' work.</summary>
    private const int TilesAtOnce = 200;

    /// <summary>
    /// Copies inside a transaction of the connection, so that all tables are copied as of one position.
    /// </summary>
    public static async Task CopyAsync(
        NpgsqlConnection connection,
        CurrentGeneration live,
        int generation,
        Touched touched,
        Func<CancellationToken, ValueTask> giveWay,
        CancellationToken cancellationToken
    )
    {
        foreach (var (table, columns) in LedgerTables.Tables)
        {
            if (Left(table, touched) is not var (column, left))
                continue;
            await giveWay(cancellationToken);
            if (table == "tile")
            {
                await CopyTilesAsync(connection, live, generation, columns, left, giveWay, cancellationToken);
                continue;
            }
            await using var copy = connection.Command(
                $"""
                insert into ledger.{table} (farm, generation, {columns}) select farm, $3, {columns} from ledger.{table}
                where farm = $1 and generation = $2 and {column} <> all($4)
                """,
                live.FarmId,
                live.Generation,
                generation,
                left
            );
            // A big farm on a slow disk takes its time. A hub that stops cancels it.
            copy.CommandTimeout = 0;
            await copy.ExecuteNonQueryAsync(cancellationToken);
        }
    }

    /// <summary>
    /// Nearly all of a ledger's bytes are tiles. They are copied some at a time, in the order of their key.
    /// </summary>
    private static async Task CopyTilesAsync(
        NpgsqlConnection connection,
        CurrentGeneration live,
        int generation,
        string columns,
        string[] left,
        Func<CancellationToken, ValueTask> giveWay,
        CancellationToken cancellationToken
    )
    {
        const string Key = "season, field, tile_row, tile_column";
        object[] last = [int.MinValue, "", 0, 0];
        for (var copied = true; copied; )
        {
            await giveWay(cancellationToken);
            await using var copy = connection.Command(
                $"""
                with next as (select farm, {columns} from ledger.tile
                    where farm = $1 and generation = $2 and field <> all($4) and ({Key}) > ($5, $6, $7, $8)
                    order by {Key} limit {TilesAtOnce}),
                put as (insert into ledger.tile (farm, generation, {columns}) select farm, $3, {columns} from next)
                select {Key} from next order by season desc, field desc, tile_row desc, tile_column desc limit 1
                """,
                [live.FarmId, live.Generation, generation, left, .. last]
            );
            copy.CommandTimeout = 0;
            await using var rows = await copy.ExecuteReaderAsync(cancellationToken);
            copied = await rows.ReadAsync(cancellationToken);
            if (copied)
                rows.GetValues(last);
        }
    }

    /// <summary>
    /// Which rows of a table are not copied, by the values of a column. Null when no row of the table is.
    /// </summary>
    private static (string Column, string[] Values)? Left(string table, Touched touched) =>
        table switch
        {
            "line" or "flag" => ("applicator", [.. touched.Applicators]),
            "tile" => ("field", [.. touched.Fields]),
            "level" => touched.Levels ? null : ("pit", []),
            _ => throw new InvalidOperationException($"No rule states which rows of {table} a correction touches."),
        };
}
