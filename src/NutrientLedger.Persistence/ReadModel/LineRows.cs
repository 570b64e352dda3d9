using Npgsql;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.ReadModel;

/// <summary>The table of ledger lines.</summary>
internal static class LineRows
{
    /// <summary>Makes the table.</summary>
    public const string Definition = $"""
        create table {Table} (
            farm text, season int, applicator text, generation int, field text, hour bigint, pit text, sensor text,
            volume bigint not null, disengaged bigint not null, not_placed bigint not null,
            unknown_intervals bigint not null, intervals bigint not null, area_travelled bigint not null,
            {AnalyteColumns.Definition},
            last_measured bigint not null,
            primary key (farm, season, applicator, generation, field, hour, pit, sensor)
        );
        """;

    /// <summary>The columns that identify a line of a farm, read by <see cref="ReadKey"/>.</summary>
    public const string Key = "season, applicator, generation, field, hour, pit, sensor";

    private const string Table = "ledger.line";

    private static readonly string[] Summed =
    [
        "volume",
        "disengaged",
        "not_placed",
        "unknown_intervals",
        "intervals",
        "area_travelled",
        .. AnalyteColumns.Names,
    ];

    /// <summary>All columns but the farm.</summary>
    public static readonly string Columns = $"{Key}, {string.Join(", ", Summed)}, last_measured";

    private static readonly string Upsert = UpsertSql.Of(
        Table,
        Columns,
        Key,
        [.. Summed.Select(UpsertSql.Sum), "last_measured = greatest(old.last_measured, excluded.last_measured)"]
    );

    /// <summary>Queues lines, added to those of their generations.</summary>
    public static void Add(
        QueueSqlCommand queue,
        string farmId,
        GenerationOf generation,
        IReadOnlyDictionary<LineKey, LineAmounts> lines
    )
    {
        if (lines.Count == 0)
            return;
        LineKey[] keys = [.. lines.Keys];
        LineAmounts[] amounts = [.. lines.Values];
        queue(
            Upsert,
            [
                farmId,
                .. KeyValues(keys, generation),
                Array.ConvertAll(amounts, line => line.VolumeMillilitres),
                Array.ConvertAll(amounts, line => line.DisengagedMillilitres),
                Array.ConvertAll(amounts, line => line.NotPlacedMillilitres),
                Array.ConvertAll(amounts, line => line.UnknownIntervals),
                Array.ConvertAll(amounts, line => line.Intervals),
                Array.ConvertAll(amounts, line => line.AreaTravelledSquareCentimetres),
                .. AnalyteColumns.Values(
                    amounts,
                    line => line.DryMatter,
                    line => line.TotalNitrogen,
                    line => line.AmmoniumNitrogen,
                    line => line.Phosphorus,
                    line => line.Potassium
                ),
                Array.ConvertAll(amounts, line => line.LastMeasuredAtMilliseconds),
            ]
        );
    }

    /// <summary>The arrays of values for the columns of the key.</summary>
    public static IEnumerable<object> KeyValues(LineKey[] keys, GenerationOf generation) =>
        [
            Array.ConvertAll(keys, key => key.Season),
            Array.ConvertAll(keys, key => key.ApplicatorId),
            Array.ConvertAll(keys, key => generation(key.Season, key.ApplicatorId)),
            Array.ConvertAll(keys, key => key.FieldId),
            Array.ConvertAll(keys, key => key.HourStartSeconds),
            Array.ConvertAll(keys, key => key.PitId),
            Array.ConvertAll(keys, key => key.SensorId),
        ];

    /// <summary>The key in the first seven columns of a row. The generation is passed over.</summary>
    public static LineKey ReadKey(NpgsqlDataReader row) =>
        new(row.GetString(3), row.GetInt32(0), row.GetInt64(4), row.GetString(1), row.GetString(5), row.GetString(6));

    /// <summary>The seasons with lines, in order.</summary>
    public static Task<List<int>> SeasonsAsync(
        NpgsqlConnection connection,
        string farmId,
        CancellationToken cancellationToken
    ) =>
        connection
            .Command(
                $"""
                select distinct season from {PostedFarmRows.PartitionTable} as read
                where farm = $1 and exists (select 1 from {Table} as line where (line.farm, line.season,
                    line.applicator, line.generation) = (read.farm, read.season, read.applicator, read.generation))
                order by season
                """,
                farmId
            )
            .ListAsync(row => row.GetInt32(0), cancellationToken);

    /// <summary>Where applicators have lines, from a season on.</summary>
    public static Task<List<WorkedPlace>> WorkedAsync(
        NpgsqlConnection connection,
        string farmId,
        int firstSeason,
        CancellationToken cancellationToken
    ) =>
        connection
            .Command(
                $"""
                select season, applicator, field, bool_or(intervals > 0 or disengaged > 0)
                from {Table} join {PostedFarmRows.PartitionTable} using (farm, season, applicator, generation)
                where farm = $1 and season >= $2 group by 1, 2, 3
                """,
                farmId,
                firstSeason
            )
            .ListAsync(
                row => new WorkedPlace(row.GetInt32(0), row.GetString(1), row.GetString(2), row.GetBoolean(3)),
                cancellationToken
            );

    /// <summary>The lines of some seasons, with their flagged parts.</summary>
    public static async Task<Dictionary<LineKey, LineAmounts>> ReadAsync(
        NpgsqlConnection connection,
        string farmId,
        SeasonRange seasons,
        CancellationToken cancellationToken
    )
    {
        await using var command = connection.Command(LedgerTables.ReadOf("line", Columns, seasons), farmId);
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var lines = new Dictionary<LineKey, LineAmounts>();
        while (await rows.ReadAsync(cancellationToken))
            lines.Add(ReadKey(rows), Amounts(rows));
        await rows.DisposeAsync();
        await FlagRows.AddToAsync(lines, connection, farmId, seasons, cancellationToken);
        return lines;
    }

    private static LineAmounts Amounts(NpgsqlDataReader row) =>
        new()
        {
            VolumeMillilitres = row.GetInt64(7),
            DisengagedMillilitres = row.GetInt64(8),
            NotPlacedMillilitres = row.GetInt64(9),
            UnknownIntervals = row.GetInt64(10),
            Intervals = row.GetInt64(11),
            AreaTravelledSquareCentimetres = row.GetInt64(12),
            DryMatter = AnalyteColumns.Read(row, 13),
            TotalNitrogen = AnalyteColumns.Read(row, 15),
            AmmoniumNitrogen = AnalyteColumns.Read(row, 17),
            Phosphorus = AnalyteColumns.Read(row, 19),
            Potassium = AnalyteColumns.Read(row, 21),
            LastMeasuredAtMilliseconds = row.GetInt64(23),
        };
}
