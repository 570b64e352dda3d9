using Npgsql;
using NpgsqlTypes;
using NutrientLedger.Journal;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.ReceivedRanges;

/// <summary>
/// Reads and writes seen rows inside the transaction of an append, many in one round trip. The farm's lock, held until that
/// transaction ends, keeps every other writer away from them.
/// </summary>
internal static class ReceivedRangeRows
{
    public static async Task<Dictionary<SequenceKey, ReceivedRangeRow>> ReadAsync(
        NpgsqlConnection connection,
        string farmId,
        IReadOnlyCollection<SequenceKey> keys,
        CancellationToken cancellationToken
    )
    {
        var found = keys.ToDictionary(key => key, _ => ReceivedRangeRow.Empty);
        await using var command = connection.Command(
            """
            select equipment, stream, boot, ranges, range_ends, announced_last_seq, gaps_since from ingestion.received_range
            join unnest($2, $3, $4) as wanted (equipment, stream, boot) using (equipment, stream, boot) where farm = $1
            """,
            farmId,
            keys.Select(key => key.EquipmentId).ToArray(),
            keys.Select(key => key.StreamName).ToArray(),
            keys.Select(key => key.Boot).ToArray()
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        while (await rows.ReadAsync(cancellationToken))
        {
            var stream = Enum.Parse<TelemetryStream>(rows.GetString(1), ignoreCase: true);
            found[new(farmId, rows.GetString(0), stream, rows.GetInt64(2))] = new(
                rows.GetFieldValue<NpgsqlRange<long>[]>(3),
                rows.GetFieldValue<byte[][]>(4),
                rows.GetInt64(5),
                rows.GetFieldValue<DateTimeOffset[]>(6)
            );
        }
        return found;
    }

    public static NpgsqlBatchCommand Write(SequenceKey key, ReceivedRangeRow row)
    {
        var gaps = row.Gaps();
        return SqlCommands.BatchCommand(
            """
            insert into ingestion.received_range (farm, equipment, stream, boot, ranges, range_ends, announced_last_seq, gaps_since, missing_readings)
            values ($1, $2, $3, $4, $5, $6, $7, $8, $9)
            on conflict (farm, equipment, stream, boot) do update set ranges = excluded.ranges, range_ends = excluded.range_ends,
                announced_last_seq = excluded.announced_last_seq, gaps_since = excluded.gaps_since, missing_readings = excluded.missing_readings
            """,
            key.FarmId,
            key.EquipmentId,
            key.StreamName,
            key.Boot,
            row.Ranges,
            row.RangeEnds,
            row.AnnouncedLastSeq,
            row.GapsSince,
            gaps.Sum(gap => gap.Count)
        );
    }
}
