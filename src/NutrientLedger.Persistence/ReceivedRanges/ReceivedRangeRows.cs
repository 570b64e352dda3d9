using Npgsql;
using NpgsqlTypes;
using NutrientLedger.Journal;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.ReceivedRanges;

/// <summary>
/// The table of received ranges. Rows are read and written inside the transaction of an append, many in one round trip.
/// The farm's lock, held until that transaction ends, keeps every other writer away from them.
/// </summary>
internal static class ReceivedRangeRows
{
    /// <summary>Makes the table.</summary>
    public const string Definition = $"""
        create table {Table} (
            farm text, equipment text, stream text, boot bigint,
            ranges int8multirange not null, range_ends bytea[] not null,
            announced_last_seq bigint not null, gaps_since timestamptz[] not null, missing_readings bigint not null,
            primary key ({Key})
        );
        create index received_range_missing on {Table} (farm) where missing_readings > 0;
        """;

    private const string Table = "ingestion.received_range";

    private const string Key = "farm, equipment, stream, boot";

    private const string Content = "ranges, range_ends, announced_last_seq, gaps_since";

    private static readonly string Upsert = $"""
        insert into {Table} ({Key}, {Content}, missing_readings) values ($1, $2, $3, $4, $5, $6, $7, $8, $9)
        on conflict ({Key}) do update set
            {string.Join(", ", $"{Content}, missing_readings".Split(", ").Select(c => $"{c} = excluded.{c}"))}
        """;

    /// <summary>The rows of these keys, empty ones where nothing is stored.</summary>
    public static async Task<Dictionary<SequenceKey, ReceivedRangeRow>> ReadAsync(
        NpgsqlConnection connection,
        string farmId,
        IReadOnlyCollection<SequenceKey> keys,
        CancellationToken cancellationToken
    )
    {
        var found = keys.ToDictionary(key => key, _ => ReceivedRangeRow.Empty);
        await using var command = connection.Command(
            $"""
            select {Key}, {Content} from {Table}
            join unnest($2, $3, $4) as wanted (equipment, stream, boot) using (equipment, stream, boot) where farm = $1
            """,
            farmId,
            keys.Select(key => key.EquipmentId).ToArray(),
            keys.Select(key => key.StreamName).ToArray(),
            keys.Select(key => key.Boot).ToArray()
        );
        foreach (var (key, row) in await ReadAsync(command, cancellationToken))
            found[key] = row;
        return found;
    }

    /// <summary>Stores a row in place of the one with the same key.</summary>
    public static NpgsqlBatchCommand Write(SequenceKey key, ReceivedRangeRow row) =>
        SqlCommands.BatchCommand(
            Upsert,
            key.FarmId,
            key.EquipmentId,
            key.StreamName,
            key.Boot,
            row.Ranges,
            row.RangeEnds,
            row.AnnouncedLastSeq,
            row.GapsSince,
            row.Gaps().Sum(gap => gap.Count)
        );

    /// <summary>The rows of a farm with gaps, in order of their boots.</summary>
    public static async Task<List<(SequenceKey Key, ReceivedRangeRow Row)>> WithGapsAsync(
        NpgsqlDataSource source,
        string farmId,
        CancellationToken cancellationToken
    )
    {
        await using var command = source.Command(
            $"select {Key}, {Content} from {Table} where farm = $1 and missing_readings > 0 order by boot",
            farmId
        );
        return await ReadAsync(command, cancellationToken);
    }

    /// <summary>How many gaps all farms have, and how many readings are missing in them.</summary>
    public static async Task<(long Gaps, long Readings)> CountGapsAsync(
        NpgsqlDataSource source,
        CancellationToken cancellationToken
    )
    {
        await using var command = source.Command(
            $"""
            select coalesce(sum(cardinality(gaps_since)), 0)::bigint, coalesce(sum(missing_readings), 0)::bigint
            from {Table} where missing_readings > 0
            """
        );
        await using var row = await command.ExecuteReaderAsync(cancellationToken);
        await row.ReadAsync(cancellationToken);
        return (row.GetInt64(0), row.GetInt64(1));
    }

    /// <summary>
    /// How far the newest boots of these devices are stored, the newest boot of each stream first. See
    /// <see cref="AcknowledgementWatermark.BootsMax"/>.
    /// </summary>
    public static async Task<IReadOnlyList<AcknowledgementWatermark>> WatermarksAsync(
        NpgsqlDataSource source,
        IReadOnlyCollection<FarmDevice> devices,
        CancellationToken cancellationToken
    )
    {
        await using var command = source.Command(
            $"""
            select {Key},
                case when lower(ranges) <= 1 then (select upper(first) - 1 from unnest(ranges) as first order by first limit 1)
                    else 0 end,
                coalesce(upper(ranges) - 1, 0)
            from (
                select {Key}, ranges, row_number() over (partition by farm, equipment, stream order by boot desc) as age
                from {Table} join unnest($1, $2) as wanted (farm, equipment) using (farm, equipment)
            ) as recent
            where age <= $3 order by farm, equipment, stream, boot desc
            """,
            devices.Select(device => device.FarmId).ToArray(),
            devices.Select(device => device.EquipmentId).ToArray(),
            AcknowledgementWatermark.BootsMax
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var watermarks = new List<AcknowledgementWatermark>();
        while (await rows.ReadAsync(cancellationToken))
        {
            var key = ReadKey(rows);
            watermarks.Add(
                new(new(key.FarmId, key.EquipmentId), key.Stream, key.Boot, rows.GetInt64(4), rows.GetInt64(5))
            );
        }
        return watermarks;
    }

    /// <summary>Whether a reading of a boot is stored with one of these numbers, both ends included.</summary>
    public static async Task<bool> AnyAsync(
        NpgsqlDataSource source,
        SequenceKey key,
        long firstSeq,
        long lastSeq,
        CancellationToken cancellationToken
    )
    {
        await using var command = source.Command(
            $"""
            select exists (select 1 from {Table}
                where ({Key}) = ($1, $2, $3, $4) and ranges && int8range($5, $6, '[]'))
            """,
            key.FarmId,
            key.EquipmentId,
            key.StreamName,
            key.Boot,
            firstSeq,
            lastSeq
        );
        return (bool)(await command.ExecuteScalarAsync(cancellationToken))!;
    }

    /// <summary>
    /// The boots of a device's stream with stored readings, nearest to that of the key first. Each has its first and
    /// last number.
    /// </summary>
    public static async Task<List<(long Boot, long FirstSeq, long LastSeq)>> NearestBootsAsync(
        NpgsqlDataSource source,
        SequenceKey key,
        int limit,
        CancellationToken cancellationToken
    )
    {
        await using var command = source.Command(
            $"""
            select boot, lower(ranges), upper(ranges) - 1 from {Table}
            where farm = $1 and equipment = $2 and stream = $3 and not isempty(ranges)
            order by abs(boot::numeric - $4), boot desc limit $5
            """,
            key.FarmId,
            key.EquipmentId,
            key.StreamName,
            key.Boot,
            limit
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var boots = new List<(long, long, long)>();
        while (await rows.ReadAsync(cancellationToken))
            boots.Add((rows.GetInt64(0), rows.GetInt64(1), rows.GetInt64(2)));
        return boots;
    }

    private static async Task<List<(SequenceKey Key, ReceivedRangeRow Row)>> ReadAsync(
        NpgsqlCommand command,
        CancellationToken cancellationToken
    )
    {
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var found = new List<(SequenceKey, ReceivedRangeRow)>();
        while (await rows.ReadAsync(cancellationToken))
            found.Add(
                (
                    ReadKey(rows),
                    new(
                        rows.GetFieldValue<NpgsqlRange<long>[]>(4),
                        rows.GetFieldValue<byte[][]>(5),
                        rows.GetInt64(6),
                        rows.GetFieldValue<DateTimeOffset[]>(7)
                    )
                )
            );
        return found;
    }

    private static SequenceKey ReadKey(NpgsqlDataReader row) =>
        new(row.GetString(0), row.GetString(1), Enum.Parse<TelemetryStream>(row.GetString(2), true), row.GetInt64(3));
}
