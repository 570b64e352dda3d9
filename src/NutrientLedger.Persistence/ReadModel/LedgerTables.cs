using Npgsql;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.ReadModel;

/// <summary>
/// The tables that posting writes. Only rows of the generations noted beside the farm and its partitions are read.
/// </summary>
internal static class LedgerTables
{
    /// <summary>Makes the schema and its tables.</summary>
    public const string Definition = $"""
        create schema ledger;

        {PostedFarmRows.Definition}

        {LineRows.Definition}

        {FlagRows.Definition}

        {TileRows.Definition}

        {LevelRows.Definition}

        {UnpostedRows.Definition}
        """;

    /// <summary>The tables of partitions, with the columns that say something about the farm.</summary>
    public static readonly (string Name, string Columns)[] OfPartitions =
    [
        ("line", Without(LineRows.Columns, "generation")),
        ("flag", Without(FlagRows.Columns, "generation")),
        ("tile", Without(TileRows.Columns, "generation", "position")),
    ];

    /// <summary>The query for those rows of some seasons that are read: $1 is the farm.</summary>
    public static string ReadOf(string table, string columns, SeasonRange seasons) =>
        FormattableString.Invariant(
            $"""
            select {columns} from ledger.{table}
            join {PostedFarmRows.PartitionTable} using (farm, season, applicator, generation)
            where farm = $1 and season between {seasons.First} and {seasons.Last}
            """
        );

    /// <summary>The columns of a level hour that say something about the farm.</summary>
    public static readonly string LevelColumns = Without(LevelRows.Columns, "generation");

    /// <summary>Deletes rows of some partitions, and of levels, that are of other generations than one.</summary>
    public static async Task DropOthersAsync(
        NpgsqlConnection connection,
        string farmId,
        int generation,
        IReadOnlyCollection<Partition> partitions,
        bool levels,
        CancellationToken cancellationToken
    )
    {
        foreach (var (table, _) in OfPartitions)
            await RunAsync(
                connection,
                $"""
                delete from ledger.{table} as row using unnest($3, $4) as switched (season, applicator)
                where row.farm = $1 and row.season = switched.season and row.applicator = switched.applicator
                    and row.generation <> $2
                """,
                [farmId, generation, .. PostedFarmRows.KeyValues([.. partitions])],
                cancellationToken
            );
        if (levels)
            await RunAsync(
                connection,
                "delete from ledger.level where farm = $1 and generation <> $2",
                [farmId, generation],
                cancellationToken
            );
    }

    /// <summary>How many rows of partitions a farm has that nobody reads.</summary>
    public static async Task<long> CountUnreadAsync(
        NpgsqlConnection connection,
        string farmId,
        CancellationToken cancellationToken
    )
    {
        var count = 0L;
        foreach (var (table, _) in OfPartitions)
        {
            await using var command = connection.Command($"select count(*) {Unread(table)}", farmId);
            count += (long)(await command.ExecuteScalarAsync(cancellationToken))!;
        }
        return count;
    }

    /// <summary>Deletes every row of a farm that nobody reads. It looks through the farm's whole ledger.</summary>
    public static async Task DropUnreadAsync(
        NpgsqlConnection connection,
        string farmId,
        CancellationToken cancellationToken
    )
    {
        foreach (var (table, _) in OfPartitions)
            await RunAsync(connection, $"delete {Unread(table)}", [farmId], cancellationToken);
        await RunAsync(
            connection,
            """
            delete from ledger.level where farm = $1
                and generation <> (select level_generation from ledger.farm where farm = $1)
            """,
            [farmId],
            cancellationToken
        );
    }

    /// <summary>A big farm on a slow disk takes its time. A hub that stops cancels it.</summary>
    private static async Task RunAsync(
        NpgsqlConnection connection,
        string sql,
        object[] values,
        CancellationToken cancellationToken
    )
    {
        await using var command = connection.Command(sql, values);
        command.CommandTimeout = 0;
        await command.ExecuteNonQueryAsync(cancellationToken);
    }

    private static string Unread(string table) =>
        $"""
            from ledger.{table} as row where farm = $1 and not exists (
                select 1 from {PostedFarmRows.PartitionTable} as read where (read.farm, read.season,
                    read.applicator, read.generation) = (row.farm, row.season, row.applicator, row.generation))
            """;

    private static string Without(string columns, params string[] left) =>
        string.Join(", ", columns.Split(',').Select(column => column.Trim()).Except(left));
}
