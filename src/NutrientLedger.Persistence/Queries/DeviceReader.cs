using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Gaps;
using NutrientLedger.Persistence.Projections;

namespace NutrientLedger.Persistence.Queries;

/// <summary>
/// What the hub knows of a sender on one stream: when it was last heard, how its messages fared, which numbers are missing, and how
/// far its clock seems ahead (negative: behind; nothing while it has sent nothing live).
/// </summary>
public sealed record DeviceState(
    string EquipmentId,
    TelemetryStream Stream,
    DateTimeOffset LastRecordedAt,
    DateTimeOffset? LastMeasuredAt,
    long ReadingsStored,
    long ReadingsDuplicate,
    long ReadingsQuestionable,
    IReadOnlyList<OpenGap> OpenGaps,
    TimeSpan? ClockAhead
)
{
    /// <summary>The numbers that are missing.</summary>
    public IEnumerable<MissingNumbers> Gaps => OpenGaps.Select(gap => gap.Numbers);
}

/// <summary>A boot of a sender of which readings are stored, with the lowest and highest of their numbers.</summary>
public sealed record StoredBoot(long Boot, long FirstSeq, long LastSeq);

/// <summary>Answers questions about senders and how far the ledgers are posted.</summary>
public sealed class DeviceReader(NpgsqlDataSource source)
{
    private const string Progress =
        "coalesce((select last_seq_id from journal.mt_event_progression where name like $1 limit 1), 0)";

    /// <summary>Everything that has sent readings for a farm.</summary>
    public async Task<IReadOnlyList<DeviceState>> DevicesAsync(string farmId, CancellationToken cancellationToken)
    {
        var gaps = await GapReader.OfFarmAsync(source, farmId, cancellationToken);
        await using var command = source.Command(
            """
            select equipment, stream, last_recorded_at, last_measured_at, readings_stored, readings_duplicate,
                readings_questionable, least(clock_lag_ms, clock_lag_previous_ms)
            from ingestion.device where farm = $1 order by equipment collate "C", stream collate "C"
            """,
            farmId
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var devices = new List<DeviceState>();
        while (await rows.ReadAsync(cancellationToken))
        {
            var (equipment, stream) = (rows.GetString(0), rows.GetString(1));
            devices.Add(
                new(
                    equipment,
                    Enum.Parse<TelemetryStream>(stream, ignoreCase: true),
                    rows.GetFieldValue<DateTimeOffset>(2),
                    await rows.IsDBNullAsync(3, cancellationToken) ? null : rows.GetFieldValue<DateTimeOffset>(3),
                    rows.GetInt64(4),
                    rows.GetInt64(5),
                    rows.GetInt64(6),
                    [.. gaps[(equipment, stream)]],
                    await rows.IsDBNullAsync(7, cancellationToken) ? null : TimeSpan.FromMilliseconds(-rows.GetInt64(7))
                )
            );
        }
        return devices;
    }

    /// <summary>Whether a reading is stored of a sender's boot with one of these numbers, both ends included.</summary>
    public async Task<bool> AnyStoredAsync(
        string farmId,
        string equipmentId,
        TelemetryStream stream,
        StoredBoot numbers,
        CancellationToken cancellationToken
    )
    {
        await using var command = source.Command(
            """
            select exists (select 1 from ingestion.received_range
                where farm = $1 and equipment = $2 and stream = $3 and boot = $4 and ranges && int8range($5, $6, '[]'))
            """,
            farmId,
            equipmentId,
            stream.ToString().ToLowerInvariant(),
            numbers.Boot,
            numbers.FirstSeq,
            numbers.LastSeq
        );
        return (bool)(await command.ExecuteScalarAsync(cancellationToken))!;
    }

    /// <summary>The boots of a sender of which readings are stored, nearest to a boot first; so many at most.</summary>
    public async Task<IReadOnlyList<StoredBoot>> NearestBootsAsync(
        string farmId,
        string equipmentId,
        TelemetryStream stream,
        long boot,
        int limit,
        CancellationToken cancellationToken
    )
    {
        await using var command = source.Command(
            """
            select boot, lower(ranges), upper(ranges) - 1 from ingestion.received_range
            where farm = $1 and equipment = $2 and stream = $3 and not isempty(ranges)
            order by abs(boot::numeric - $4), boot desc limit $5
            """,
            farmId,
            equipmentId,
            stream.ToString().ToLowerInvariant(),
            boot,
            limit
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var boots = new List<StoredBoot>();
        while (await rows.ReadAsync(cancellationToken))
            boots.Add(new(rows.GetInt64(0), rows.GetInt64(1), rows.GetInt64(2)));
        return boots;
    }

    /// <summary>
    /// The newest journal position, and the position up to which ledgers are posted with all corrections: an entry that
    /// changes lines counts as posted when the lines it changes are.
    /// </summary>
    public async Task<(long Journal, long Posted)> PositionsAsync(CancellationToken cancellationToken)
    {
        await using var command = source.Command(
            $"""
            select coalesce((select max(seq_id) from journal.mt_events), 0),
                least(({Progress}), (select min(wanted_configuration_position) - 1 from ledger.generation
                    where configuration_position < wanted_configuration_position))
            """,
            $"{LedgerProjection.Name}:%"
        );
        await using var row = await command.ExecuteReaderAsync(cancellationToken);
        await row.ReadAsync(cancellationToken);
        return (row.GetInt64(0), row.GetInt64(1));
    }

    /// <summary>The position up to which packs are posted; the lines of some farm may still wait for a correction.</summary>
    internal async Task<long> PostedPositionAsync(CancellationToken cancellationToken)
    {
        await using var command = source.Command($"select ({Progress})", $"{LedgerProjection.Name}:%");
        return (long)(await command.ExecuteScalarAsync(cancellationToken))!;
    }
}
