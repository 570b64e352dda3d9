using Npgsql;
using NutrientLedger.Ledger.Coverage;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.ReadModel;

/// <summary>
/// Coverage tiles as they are stored: the visits as bytes, and beside them the counts that balances need.
/// </summary>
internal static class TileRows
{
    /// <summary>
    /// Makes the table. A worked tile takes 2 to 3 kB and is small already. Compressing it again would only make
    /// writing slower.
    /// </summary>
    public const string Definition = $"""
        create table {Table} (
            farm text, generation int, field text, season int, tile_row int, tile_column int,
            visits bytea not null, covered bytea not null, overlapped bytea not null,
            primary key (farm, generation, season, field, tile_row, tile_column)
        ) with (toast_tuple_target = 8160);
        """;

    /// <summary>All columns but farm and generation.</summary>
    public const string Columns = $"{Key}, visits, {Counts}";

    private const string Table = "ledger.tile";

    private const string Key = "field, season, tile_row, tile_column";

    private const string Counts = "covered, overlapped";

    private const string Stored = $"""
        select {Key}, visits from {Table} join unnest($3, $4, $5, $6) as wanted ({Key}) using ({Key})
        where farm = $1 and generation = $2
        """;

    private static readonly string Upsert = UpsertSql.Of(
        Table,
        Columns,
        Key,
        $"visits, {Counts}".Split(", ").Select(UpsertSql.Replace)
    );

    /// <summary>Queues tiles that replace those of a generation.</summary>
    public static void Put(
        QueueSqlCommand queue,
        string farmId,
        int generation,
        IReadOnlyCollection<KeyValuePair<TileKey, StoredTile>> tiles
    )
    {
        if (tiles.Count == 0)
            return;
        TileKey[] keys = [.. tiles.Select(tile => tile.Key)];
        StoredTile[] stored = [.. tiles.Select(tile => tile.Value)];
        queue(
            Upsert,
            [
                farmId,
                generation,
                .. KeyValues(keys),
                Array.ConvertAll(stored, tile => tile.Visits),
                Array.ConvertAll(stored, tile => tile.Covered),
                Array.ConvertAll(stored, tile => tile.Overlapped),
            ]
        );
    }

    /// <summary>
    /// Adds what is stored to tiles, so that they can be written back whole. This is safe: the transaction that writes
    /// them fails if the farm's ledger was moved on after its position was read.
    /// </summary>
    public static async Task MergeStoredAsync(
        NpgsqlConnection connection,
        string farmId,
        int generation,
        IReadOnlyCollection<TileKey> tiles,
        Action<TileKey, byte[]> add,
        CancellationToken cancellationToken
    )
    {
        if (tiles.Count == 0)
            return;
        await using var command = connection.Command(Stored, [farmId, generation, .. KeyValues([.. tiles])]);
        await ReadAsync(command, row => add(ReadKey(row), row.GetFieldValue<byte[]>(4)), cancellationToken);
    }

    /// <summary>The same for the live tiles of many farms, in one round trip.</summary>
    public static async Task MergeStoredAsync(
        NpgsqlConnection connection,
        IReadOnlyCollection<(CurrentGeneration Live, LedgerAccumulator Accumulator)> farms,
        CancellationToken cancellationToken
    )
    {
        var (merged, reads) = (new List<LedgerAccumulator>(), new NpgsqlBatch(connection));
        await using var _ = reads;
        foreach (var (live, accumulator) in farms)
            if (accumulator.TileKeys is { Count: > 0 } tiles)
            {
                object[] values = [live.FarmId, live.Generation, .. KeyValues([.. tiles])];
                reads.BatchCommands.Add(SqlCommands.BatchCommand(Stored, values));
                merged.Add(accumulator);
            }
        if (merged.Count == 0)
            return;
        await using var rows = await reads.ExecuteReaderAsync(cancellationToken);
        foreach (var accumulator in merged)
        {
            while (await rows.ReadAsync(cancellationToken))
                accumulator.Add(ReadKey(rows), rows.GetFieldValue<byte[]>(4));
            await rows.NextResultAsync(cancellationToken);
        }
    }

    /// <summary>
    /// The counts by row alone, a hundredth of the visits themselves. They are added up here, where it costs least.
    /// </summary>
    public static async Task<IReadOnlyList<CoverageRows>> CoverageAsync(
        NpgsqlConnection connection,
        CurrentGeneration current,
        string? fieldId,
        int? season,
        CancellationToken cancellationToken
    )
    {
        var counts = new List<TileCounts>();
        await using var command = Select(connection, Counts, current, fieldId, season);
        await ReadAsync(
            command,
            row => counts.Add(new(ReadKey(row), row.GetFieldValue<byte[]>(4), row.GetFieldValue<byte[]>(5))),
            cancellationToken
        );
        return CoverageRows.Of(counts);
    }

    /// <summary>The tiles of a field and season, or of all of them.</summary>
    public static async Task<Dictionary<TileKey, CoverageTile>> TilesAsync(
        NpgsqlConnection connection,
        CurrentGeneration current,
        string? fieldId,
        int? season,
        CancellationToken cancellationToken
    )
    {
        var tiles = new Dictionary<TileKey, CoverageTile>();
        await using var command = Select(connection, "visits", current, fieldId, season);
        await ReadAsync(
            command,
            row => tiles.Add(ReadKey(row), CoverageTile.Decode(row.GetFieldValue<byte[]>(4))),
            cancellationToken
        );
        return tiles;
    }

    /// <summary>Passes each tile of a generation with its visits as bytes, one at a time.</summary>
    public static async Task ForEachAsync(
        NpgsqlConnection connection,
        CurrentGeneration current,
        Action<TileKey, byte[]> show,
        CancellationToken cancellationToken
    )
    {
        await using var command = Select(connection, "visits", current, fieldId: null, season: null);
        await ReadAsync(command, row => show(ReadKey(row), row.GetFieldValue<byte[]>(4)), cancellationToken);
    }

    /// <summary>How many tiles a generation has.</summary>
    public static async Task<int> CountAsync(
        NpgsqlConnection connection,
        CurrentGeneration current,
        CancellationToken cancellationToken
    )
    {
        await using var command = connection.Command(
            $"select count(*)::int from {Table} where farm = $1 and generation = $2",
            current.FarmId,
            current.Generation
        );
        return (int)(await command.ExecuteScalarAsync(cancellationToken))!;
    }

    private static NpgsqlCommand Select(
        NpgsqlConnection connection,
        string columns,
        CurrentGeneration current,
        string? fieldId,
        int? season
    ) =>
        connection.Command(
            $"""
            select {Key}, {columns} from {Table} where farm = $1 and generation = $2
                and ($3::text is null or field = $3) and ($4::int is null or season = $4)
            """,
            current.FarmId,
            current.Generation,
            fieldId,
            season
        );

    private static async Task ReadAsync(
        NpgsqlCommand command,
        Action<NpgsqlDataReader> read,
        CancellationToken cancellationToken
    )
    {
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        while (await rows.ReadAsync(cancellationToken))
            read(rows);
    }

    private static IEnumerable<object> KeyValues(TileKey[] keys) =>
        [
            Array.ConvertAll(keys, key => key.FieldId),
            Array.ConvertAll(keys, key => key.Season),
            Array.ConvertAll(keys, key => key.TileRow),
            Array.ConvertAll(keys, key => key.TileColumn),
        ];

    /// <summary>The key in the first four columns of a row.</summary>
    private static TileKey ReadKey(NpgsqlDataReader row) =>
        new(row.GetString(0), row.GetInt32(1), row.GetInt32(2), row.GetInt32(3));
}
