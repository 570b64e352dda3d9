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
        create index received_missing on {Table} (farm) where missing_readings > 0;
        """;

    /// <summary>The table.</summary>
    public const string Table = "ingestion.received";

    public const string Key = "farm, equipment, stream, boot";

    private const string Content = "ranges, range_ends, announced_last_seq, gaps_since";

    // PostgreSQL has no array of arrays of unequal length, so lists in a row travel as text.
    private static readonly string UpsertSql = $"""
        insert into {Table} ({Key}, {Content}, missing_readings)
        select farm, equipment, stream, boot, ranges::int8multirange, range_ends::bytea[], announced, gaps::timestamptz[],
            missing
        from unnest($1, $2, $3, $4, $5, $6, $7, $8, $9)
            as changed (farm, equipment, stream, boot, ranges, range_ends, announced, gaps, missing)
        on conflict ({Key}) do update set
            {string.Join(", ", $"{Content}, missing_readings".Split(", ").Select(c => $"{c} = excluded.{c}"))}
        """;

    /// <summary>The command that reads the rows of these keys. Keys of which nothing is stored have none.</summary>
    public static NpgsqlBatchCommand Read(IReadOnlyCollection<SequenceKey> keys) =>
        SqlCommands.BatchCommand(
            $"""
            select {Key}, {Content} from {Table}
            join unnest($1, $2, $3, $4) as wanted (farm, equipment, stream, boot) using (farm, equipment, stream, boot)
            """,
            Column(keys, key => key.FarmId),
            Column(keys, key => key.EquipmentId),
            Column(keys, key => key.StreamName),
            Column(keys, key => key.Boot)
        );

    /// <summary>A row of <see cref="Read"/>.</summary>
    public static (SequenceKey Key, ReceivedRangeRow Row) Of(NpgsqlDataReader row) =>
        (
            ReadKey(row),
            new(
                row.GetFieldValue<NpgsqlRange<long>[]>(4),
                row.GetFieldValue<byte[][]>(5),
                row.GetInt64(6),
                row.GetFieldValue<DateTimeOffset[]>(7)
            )
        );

    /// <summary>The command that stores rows in place of those with the same keys.</summary>
    public static NpgsqlBatchCommand Write(IReadOnlyCollection<(SequenceKey Key, ReceivedRangeRow Row)> changed) =>
        SqlCommands.BatchCommand(
            UpsertSql,
            Column(changed, it => it.Key.FarmId),
            Column(changed, it => it.Key.EquipmentId),
            Column(changed, it => it.Key.StreamName),
            Column(changed, it => it.Key.Boot),
            Column(changed, it => Text(it.Row.Ranges, range => $"[{range.LowerBound},{range.UpperBound})")),
            Column(changed, it => Text(it.Row.RangeEnds, end => $"\"\\\\x{Convert.ToHexString(end)}\"")),
            Column(changed, it => it.Row.AnnouncedLastSeq),
            Column(changed, it => Text(it.Row.GapsSince, since => $"\"{since.UtcDateTime:O}\"")),
            Column(changed, it => it.Row.Gaps().Sum(gap => gap.Count))
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

    /// <summary>The rows of one stream of a farm, in no order.</summary>
    public static async Task<List<(SequenceKey Key, ReceivedRangeRow Row)>> OfStreamAsync(
        NpgsqlDataSource source,
        string farmId,
        TelemetryStream stream,
        CancellationToken cancellationToken
    )
    {
        await using var command = source.Command(
            $"select {Key}, {Content} from {Table} where farm = $1 and stream = $2",
            farmId,
            new SequenceKey(farmId, "", stream, 0).StreamName
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
    /// The highest boot of a piece of equipment over all its streams; null when nothing of it is stored.
    /// </summary>
    public static async Task<long?> HighestBootAsync(
        NpgsqlDataSource source,
        string farmId,
        string equipmentId,
        CancellationToken cancellationToken
    )
    {
        await using var command = source.Command(
            $"select max(boot) from {Table} where farm = $1 and equipment = $2",
            farmId,
            equipmentId
        );
        return await command.ExecuteScalarAsync(cancellationToken) as long?;
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
            found.Add(Of(rows));
        return found;
    }

    private static T[] Column<TRow, T>(IReadOnlyCollection<TRow> rows, Func<TRow, T> of) => [.. rows.Select(of)];

    /// <summary>A list as PostgreSQL reads it from text.</summary>
    private static string Text<T>(IEnumerable<T> values, Func<T, FormattableString> of) =>
        $"{{{string.Join(',', values.Select(value => FormattableString.Invariant(of(value))))}}}";

    /// <summary>The columns of <see cref="Key"/>, which come first.</summary>
    public static SequenceKey ReadKey(NpgsqlDataReader row) =>
        new(row.GetString(0), row.GetString(1), Enum.Parse<TelemetryStream>(row.GetString(2), true), row.GetInt64(3));
}
