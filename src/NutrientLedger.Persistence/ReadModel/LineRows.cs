using Npgsql;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.ReadModel;

/// <summary>The table of ledger lines.</summary>
internal static class LineRows
{
    /// <summary>Makes the table.</summary>
    public const string Definition = $"""
        create table {Table} (
            farm text, generation int, field text, season int, hour bigint, applicator text, pit text, sensor text,
            volume bigint not null, disengaged bigint not null, not_placed bigint not null,
            unknown_intervals bigint not null, intervals bigint not null, area_travelled bigint not null,
            {AnalyteColumns.Definition},
            last_measured bigint not null,
            primary key (farm, generation, season, field, hour, applicator, pit, sensor)
        );
        """;

    /// <summary>The columns that identify a line within a farm's generation, read by <see cref="ReadKey"/>.</summary>
    public const string Key = "field, season, hour, applicator, pit, sensor";

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

    /// <summary>All columns but farm and generation.</summary>
    public static readonly string Columns = $"{Key}, {string.Join(", ", Summed)}, last_measured";

    private static readonly string Upsert = UpsertSql.Of(
        Table,
        Columns,
        Key,
        [.. Summed.Select(UpsertSql.Sum), "last_measured = greatest(old.last_measured, excluded.last_measured)"]
    );

    /// <summary>Queues lines, added to those of a generation.</summary>
    public static void Add(
        QueueSqlCommand queue,
        string farmId,
        int generation,
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
                generation,
                .. KeyValues(keys),
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
    public static IEnumerable<object> KeyValues(LineKey[] keys) =>
        [
            Array.ConvertAll(keys, key => key.FieldId),
            Array.ConvertAll(keys, key => key.Season),
            Array.ConvertAll(keys, key => key.HourStartSeconds),
            Array.ConvertAll(keys, key => key.ApplicatorId),
            Array.ConvertAll(keys, key => key.PitId),
            Array.ConvertAll(keys, key => key.SensorId),
        ];

    /// <summary>The key in the first six columns of a row.</summary>
    public static LineKey ReadKey(NpgsqlDataReader row) =>
        new(row.GetString(0), row.GetInt32(1), row.GetInt64(2), row.GetString(3), row.GetString(4), row.GetString(5));

    /// <summary>The seasons with lines, in order.</summary>
    public static Task<List<int>> SeasonsAsync(
        NpgsqlConnection connection,
        CurrentGeneration current,
        CancellationToken cancellationToken
    ) =>
        connection
            .Command(
                $"select distinct season from {Table} where farm = $1 and generation = $2 order by season",
                current.FarmId,
                current.Generation
            )
            .ListAsync(row => row.GetInt32(0), cancellationToken);

    /// <summary>The lines of a season, or of all, with their flagged parts.</summary>
    public static async Task<Dictionary<LineKey, LineAmounts>> ReadAsync(
        NpgsqlConnection connection,
        CurrentGeneration current,
        int? season,
        CancellationToken cancellationToken
    )
    {
        await using var command = connection.Command(
            $"select {Columns} from {Table} where farm = $1 and generation = $2 and ($3::int is null or season = $3)",
            current.FarmId,
            current.Generation,
            season
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var lines = new Dictionary<LineKey, LineAmounts>();
        while (await rows.ReadAsync(cancellationToken))
            lines.Add(ReadKey(rows), Amounts(rows));
        await rows.DisposeAsync();
        await FlagRows.AddToAsync(lines, connection, current, season, cancellationToken);
        return lines;
    }

    private static LineAmounts Amounts(NpgsqlDataReader row) =>
        new()
        {
            VolumeMillilitres = row.GetInt64(6),
            DisengagedMillilitres = row.GetInt64(7),
            NotPlacedMillilitres = row.GetInt64(8),
            UnknownIntervals = row.GetInt64(9),
            Intervals = row.GetInt64(10),
            AreaTravelledSquareCentimetres = row.GetInt64(11),
            DryMatter = AnalyteColumns.Read(row, 12),
            TotalNitrogen = AnalyteColumns.Read(row, 14),
            AmmoniumNitrogen = AnalyteColumns.Read(row, 16),
            Phosphorus = AnalyteColumns.Read(row, 18),
            Potassium = AnalyteColumns.Read(row, 20),
            LastMeasuredAtMilliseconds = row.GetInt64(22),
        };
}
