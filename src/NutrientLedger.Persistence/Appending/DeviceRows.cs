using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Messages;
using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Persistence.Appending;

/// <summary>
/// The state of a device on one stream. The lag is the least of the last minutes in milliseconds, if any is known.
/// </summary>
internal sealed record DeviceRow(
    string EquipmentId,
    TelemetryStream Stream,
    DateTimeOffset LastRecordedAt,
    DateTimeOffset? LastMeasuredAt,
    long ReadingsStored,
    long ReadingsDuplicate,
    long ReadingsQuestionable,
    long UnknownRecords,
    long ValuesLeftOut,
    long? ClockLagMilliseconds
);

/// <summary>The table of the state of devices. It is written inside the transaction of an append.</summary>
internal static class DeviceRows
{
    /// <summary>Makes the table.</summary>
    public const string Definition = $"""
        create table {Table} (
            farm text, equipment text, stream text,
            last_recorded_at timestamptz not null, last_measured_at timestamptz,
            readings_stored bigint not null, readings_duplicate bigint not null, readings_questionable bigint not null,
            clock_lag_ms bigint, clock_lag_previous_ms bigint, clock_lag_since timestamptz,
            primary key ({Key})
        );
        {AddLeftOut}
        """;

    /// <summary>What version 3 lacks.</summary>
    public const string AddLeftOut = $"""
        alter table {Table} add column unknown_records bigint not null default 0,
            add column values_left_out bigint not null default 0;
        """;

    private const string Table = "ingestion.device";

    private const string Key = "farm, equipment, stream";

    private const string Content =
        "last_recorded_at, last_measured_at, readings_stored, readings_duplicate, readings_questionable, unknown_records, values_left_out";

    /// <summary>The least lag is kept for ten minutes, beside that of the ten minutes before.</summary>
    private const string UpsertSql = $"""
        insert into {Table} as old ({Key}, {Content}, clock_lag_ms, clock_lag_since)
        select farm, equipment, stream, $1, last_measured_at, stored, duplicate, questionable, unknown, left_out, lag,
            case when lag is not null then $1 end
        from unnest($2, $3, $4, $5, $6, $7, $8, $9, $10, $11) as heard
            (farm, equipment, stream, last_measured_at, stored, duplicate, questionable, unknown, left_out, lag)
        on conflict ({Key}) do update set
            last_recorded_at = greatest(old.last_recorded_at, excluded.last_recorded_at),
            last_measured_at = greatest(old.last_measured_at, excluded.last_measured_at),
            readings_stored = old.readings_stored + excluded.readings_stored,
            readings_duplicate = old.readings_duplicate + excluded.readings_duplicate,
            readings_questionable = old.readings_questionable + excluded.readings_questionable,
            unknown_records = old.unknown_records + excluded.unknown_records,
            values_left_out = old.values_left_out + excluded.values_left_out,
            clock_lag_previous_ms = case
                when excluded.clock_lag_since < old.clock_lag_since + interval '10 minutes'
                    or excluded.clock_lag_since is null then old.clock_lag_previous_ms
                when excluded.clock_lag_since < old.clock_lag_since + interval '20 minutes' then old.clock_lag_ms end,
            clock_lag_ms = case
                when excluded.clock_lag_since >= old.clock_lag_since + interval '10 minutes' then excluded.clock_lag_ms
                else least(old.clock_lag_ms, excluded.clock_lag_ms) end,
            clock_lag_since = case
                when excluded.clock_lag_since < old.clock_lag_since + interval '10 minutes' then old.clock_lag_since
                else coalesce(excluded.clock_lag_since, old.clock_lag_since) end
        """;

    /// <summary>The command that adds results of an append to the states of their devices.</summary>
    public static NpgsqlBatchCommand Upsert(
        IEnumerable<(SequenceKey Key, DeviceAppendResult Result)> appended,
        DateTimeOffset now
    )
    {
        // Several boots of a device may be in one append; a statement can change a row only once.
        var devices = appended
            .GroupBy(it => it.Key with { Boot = 0 }, it => it.Result)
            .Select(device => (device.Key, Results: device.ToArray()))
            .ToArray();
        return SqlCommands.BatchCommand(
            UpsertSql,
            now,
            Array.ConvertAll(devices, device => device.Key.FarmId),
            Array.ConvertAll(devices, device => device.Key.EquipmentId),
            Array.ConvertAll(devices, device => device.Key.StreamName),
            Array.ConvertAll(devices, device => device.Results.Max(result => result.LastMeasuredAt)),
            Array.ConvertAll(devices, device => Sum(device.Results, stored => stored.Readings)),
            Array.ConvertAll(devices, device => Sum(device.Results, stored => stored.Duplicates)),
            Array.ConvertAll(devices, device => Sum(device.Results, stored => stored.Questionable)),
            Array.ConvertAll(devices, device => LeftOut(device.Results, left => left.UnknownRecords)),
            Array.ConvertAll(devices, device => LeftOut(device.Results, left => left.Values)),
            Array.ConvertAll(devices, device => device.Results.Min(result => result.ClockLagMilliseconds))
        );
    }

    private static long Sum(DeviceAppendResult[] results, Func<AppendResult.Stored, long> of) =>
        results.SelectMany(result => result.Results).OfType<AppendResult.Stored>().Sum(of);

    private static long LeftOut(DeviceAppendResult[] results, Func<LeftOut, long> of) =>
        results.SelectMany(result => result.LeftOut).Sum(of);

    /// <summary>All devices of a farm, in order.</summary>
    public static Task<List<DeviceRow>> ListAsync(
        NpgsqlDataSource source,
        string farmId,
        CancellationToken cancellationToken
    ) =>
        source
            .Command(
                $"""
                select equipment, stream, {Content}, least(clock_lag_ms, clock_lag_previous_ms)
                from {Table} where farm = $1 order by equipment collate "C", stream collate "C"
                """,
                farmId
            )
            .ListAsync(
                row => new DeviceRow(
                    row.GetString(0),
                    Enum.Parse<TelemetryStream>(row.GetString(1), ignoreCase: true),
                    row.GetFieldValue<DateTimeOffset>(2),
                    row.MomentOrNull(3),
                    row.GetInt64(4),
                    row.GetInt64(5),
                    row.GetInt64(6),
                    row.GetInt64(7),
                    row.GetInt64(8),
                    row.IsDBNull(9) ? null : row.GetInt64(9)
                ),
                cancellationToken
            );
}
