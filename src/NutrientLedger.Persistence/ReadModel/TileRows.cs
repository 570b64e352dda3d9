using Npgsql;
using NutrientLedger.Ledger.Coverage;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.ReadModel;

/// <summary>Coverage tiles: their visits as bytes, and the position up to which they are posted.</summary>
internal static class TileRows
{
    /// <summary>
    /// Makes the table. Visits are small already. Compressing them again would only make writing slower.
    /// </summary>
    public const string Definition = $"""
        create table {Table} (
            farm text, season int, applicator text, generation int, field text, day bigint, tile_row int,
            tile_column int, visits bytea not null, position bigint not null,
            primary key (farm, season, applicator, generation, field, day, tile_row, tile_column)
        ) with (toast_tuple_target = 8160);
        """;

    /// <summary>All columns but the farm.</summary>
    public const string Columns = $"{Key}, visits, position";

    private const string Table = "ledger.tile";

    private const string Key = "season, applicator, generation, field, day, tile_row, tile_column";

    private const string Stored = $"""
        select {Key}, visits from {Table} join unnest($2, $3, $4, $5, $6, $7, $8) as wanted ({Key}) using ({Key})
        where farm = $1
        """;

    private static readonly string Upsert = UpsertSql.Of(
        Table,
        Columns,
        Key,
        [UpsertSql.Replace("visits"), UpsertSql.Replace("position")]
    );

    /// <summary>Queues tiles that replace those of their generations.</summary>
    public static void Put(
        QueueSqlCommand queue,
        string farmId,
        GenerationOf generation,
        IReadOnlyCollection<KeyValuePair<TileKey, byte[]>> tiles,
        long position
    )
    {
        if (tiles.Count == 0)
            return;
        queue(
            Upsert,
            [
                farmId,
                .. KeyValues([.. tiles.Select(tile => tile.Key)], generation),
                tiles.Select(tile => tile.Value).ToArray(),
                tiles.Select(_ => position).ToArray(),
            ]
        );
    }

    /// <summary>
    /// The command that reads what is stored of tiles, so that they can be written back whole. This is safe: the
    /// transaction that writes them fails if the farm's ledger was moved on after its position was read.
    /// </summary>
    public static NpgsqlBatchCommand ReadStored(
        string farmId,
        IReadOnlyCollection<TileKey> tiles,
        GenerationOf generation
    ) => SqlCommands.BatchCommand(Stored, [farmId, .. KeyValues([.. tiles], generation)]);

    /// <summary>Takes the rows of <see cref="ReadStored"/>.</summary>
    public static async Task ReadStoredAsync(
        NpgsqlDataReader rows,
        Action<TileKey, byte[]> read,
        CancellationToken cancellationToken
    )
    {
        while (await rows.ReadAsync(cancellationToken))
            read(ReadKey(rows), rows.GetFieldValue<byte[]>(7));
    }

    /// <summary>The tiles of some partitions of a farm that were posted after a position of their own.</summary>
    public static async Task ReadNewerAsync(
        NpgsqlConnection connection,
        string farmId,
        IReadOnlyCollection<(Partition Partition, int Generation, long After)> partitions,
        Action<TileKey, byte[]> read,
        CancellationToken cancellationToken
    )
    {
        if (partitions.Count == 0)
            return;
        await using var command = connection.Command(
            $"""
            select {Key}, visits from {Table}
            join unnest($2, $3, $4, $5) as wanted (season, applicator, generation, after)
                using (season, applicator, generation)
            where farm = $1 and position > wanted.after
            """,
            [
                farmId,
                .. PostedFarmRows.KeyValues([.. partitions.Select(it => it.Partition)]),
                partitions.Select(it => it.Generation).ToArray(),
                partitions.Select(it => it.After).ToArray(),
            ]
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        await ReadStoredAsync(rows, read, cancellationToken);
    }

    private static IEnumerable<object> KeyValues(TileKey[] keys, GenerationOf generation) =>
        [
            Array.ConvertAll(keys, key => key.Season),
            Array.ConvertAll(keys, key => key.ApplicatorId),
            Array.ConvertAll(keys, key => generation(key.Season, key.ApplicatorId)),
            Array.ConvertAll(keys, key => key.FieldId),
            Array.ConvertAll(keys, key => key.DayStartSeconds),
            Array.ConvertAll(keys, key => key.TileRow),
            Array.ConvertAll(keys, key => key.TileColumn),
        ];

    /// <summary>The key in the first seven columns of a row. The generation is passed over.</summary>
    private static TileKey ReadKey(NpgsqlDataReader row) =>
        new(row.GetString(3), row.GetInt32(0), row.GetString(1), row.GetInt64(4), row.GetInt32(5), row.GetInt32(6));
}
