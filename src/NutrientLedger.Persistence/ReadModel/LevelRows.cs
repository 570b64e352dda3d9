using Npgsql;
using NutrientLedger.Ledger.Levels;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.ReadModel;

/// <summary>The table of the levels of pits, by hour.</summary>
internal static class LevelRows
{
    /// <summary>Makes the table.</summary>
    public const string Definition = $"""
        create table {Table} (
            farm text, generation int, pit text, hour bigint,
            first_at bigint not null, first_mm int not null, last_at bigint not null, last_mm int not null,
            lowest_mm int not null, highest_mm int not null, readings bigint not null, sum_mm bigint not null,
            primary key (farm, generation, pit, hour)
        );
        """;

    /// <summary>All columns but the farm.</summary>
    public const string Columns =
        $"{Key}, first_at, first_mm, last_at, last_mm, lowest_mm, highest_mm, readings, sum_mm";

    private const string Table = "ledger.level";

    private const string Key = "generation, pit, hour";

    private static readonly string Upsert = UpsertSql.Of(
        Table,
        Columns,
        Key,
        [
            """
            (first_at, first_mm) = (
                    select at, mm from (values (old.first_at, old.first_mm), (excluded.first_at, excluded.first_mm))
                    as both_ (at, mm) order by at, mm limit 1)
            """,
            """
            (last_at, last_mm) = (
                    select at, mm from (values (old.last_at, old.last_mm), (excluded.last_at, excluded.last_mm))
                    as both_ (at, mm) order by at desc, mm desc limit 1)
            """,
            "lowest_mm = least(old.lowest_mm, excluded.lowest_mm)",
            "highest_mm = greatest(old.highest_mm, excluded.highest_mm)",
            UpsertSql.Sum("readings"),
            UpsertSql.Sum("sum_mm"),
        ]
    );

    /// <summary>Queues level hours, added to those of a generation.</summary>
    public static void Add(
        QueueSqlCommand queue,
        string farmId,
        int generation,
        IReadOnlyDictionary<LevelKey, LevelHour> levels
    )
    {
        if (levels.Count == 0)
            return;
        LevelKey[] keys = [.. levels.Keys];
        LevelHour[] hours = [.. levels.Values];
        queue(
            Upsert,
            farmId,
            Array.ConvertAll(keys, _ => generation),
            Array.ConvertAll(keys, key => key.PitId),
            Array.ConvertAll(keys, key => key.HourStartSeconds),
            Array.ConvertAll(hours, hour => hour.FirstAtMilliseconds),
            Array.ConvertAll(hours, hour => hour.FirstMillimetres),
            Array.ConvertAll(hours, hour => hour.LastAtMilliseconds),
            Array.ConvertAll(hours, hour => hour.LastMillimetres),
            Array.ConvertAll(hours, hour => hour.LowestMillimetres),
            Array.ConvertAll(hours, hour => hour.HighestMillimetres),
            Array.ConvertAll(hours, hour => hour.Readings),
            Array.ConvertAll(hours, hour => hour.SumMillimetres)
        );
    }

    /// <summary>
    /// The level hours of a pit (of all if none is named) that begin between two moments in seconds, both included.
    /// </summary>
    public static async Task<Dictionary<LevelKey, LevelHour>> ReadAsync(
        NpgsqlConnection connection,
        PostedFarm farm,
        string? pitId,
        long? fromSeconds,
        long? toSeconds,
        CancellationToken cancellationToken
    )
    {
        await using var command = connection.Command(
            $"""
            select {Columns} from {Table} where farm = $1 and generation = $2 and ($3::text is null or pit = $3)
                and ($4::bigint is null or hour >= $4) and ($5::bigint is null or hour <= $5)
            """,
            farm.FarmId,
            farm.LevelGeneration,
            pitId,
            fromSeconds,
            toSeconds
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var levels = new Dictionary<LevelKey, LevelHour>();
        while (await rows.ReadAsync(cancellationToken))
            levels.Add(
                new(rows.GetString(1), rows.GetInt64(2)),
                new(
                    rows.GetInt64(3),
                    rows.GetInt32(4),
                    rows.GetInt64(5),
                    rows.GetInt32(6),
                    rows.GetInt32(7),
                    rows.GetInt32(8),
                    rows.GetInt64(9),
                    rows.GetInt64(10)
                )
            );
        return levels;
    }
}
