using Npgsql;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.ReadModel;

namespace NutrientLedger.Persistence.Rebuild;

/// <summary>Deletes rows of generations that nobody reads any more.</summary>
internal static class RowCleanup
{
    private const int FoundAtOnce = 50_000;

    /// <summary>So many are deleted by one SQL command. That is some milliseconds' work.</summary>
    private const int DeletedAtOnce = 1_000;

    /// <summary>Deletes the farm's rows of every generation but one, some at a time.</summary>
    public static async Task DropAllButAsync(
        NpgsqlConnection connection,
        string farmId,
        int generation,
        Func<CancellationToken, ValueTask> giveWay,
        CancellationToken cancellationToken
    )
    {
        foreach (var (table, _) in LedgerTables.Tables)
        {
            List<string> found;
            do
            {
                await giveWay(cancellationToken);
                // Searched once, because each search would have to pass all that were deleted before.
                found = await FindAsync(connection, table, farmId, generation, cancellationToken);
                foreach (var some in found.Chunk(DeletedAtOnce))
                {
                    await giveWay(cancellationToken);
                    // A place may hold another row by now, if a person had the table rewritten.
                    await connection.ExecuteAsync(
                        $"delete from ledger.{table} where ctid = any($3::text[]::tid[]) and farm = $1 and generation <> $2",
                        cancellationToken,
                        farmId,
                        generation,
                        some
                    );
                }
            } while (found.Count == FoundAtOnce);
        }
    }

    private static async Task<List<string>> FindAsync(
        NpgsqlConnection connection,
        string table,
        string farmId,
        int generation,
        CancellationToken cancellationToken
    )
    {
        await using var find = connection.Command(
            $"select ctid::text from ledger.{table} where farm = $1 and generation <> $2 limit {FoundAtOnce}",
            farmId,
            generation
        );
        await using var rows = await find.ExecuteReaderAsync(cancellationToken);
        var found = new List<string>();
        while (await rows.ReadAsync(cancellationToken))
            found.Add(rows.GetString(0));
        return found;
    }
}
