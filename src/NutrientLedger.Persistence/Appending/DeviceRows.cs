using Npgsql;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Messages;
using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Persistence.Appending;

/// <summary>Writes, inside the transaction of an append, how senders fare.</summary>
internal static class DeviceRows
{
    public static NpgsqlBatchCommand Upsert(SequenceKey key, DeviceAppendResult outcome, DateTimeOffset now)
    {
        var stored = outcome.Results.OfType<AppendResult.Stored>().ToArray();
        return SqlCommands.BatchCommand(
            """
            insert into ingestion.device as old (farm, equipment, stream, last_recorded_at, last_measured_at, readings_stored,
                readings_duplicate, readings_questionable, clock_lag_ms, clock_lag_since)
            values ($1, $2, $3, $4, $5, $6, $7, $8, $9::bigint, case when $9::bigint is not null then $4 end)
            on conflict (farm, equipment, stream) do update set
                last_recorded_at = greatest(old.last_recorded_at, excluded.last_recorded_at),
                last_measured_at = greatest(old.last_measured_at, excluded.last_measured_at),
                readings_stored = old.readings_stored + excluded.readings_stored,
                readings_duplicate = old.readings_duplicate + excluded.readings_duplicate,
                readings_questionable = old.readings_questionable + excluded.readings_questionable,
                clock_lag_previous_ms = case
                    when excluded.clock_lag_since < old.clock_lag_since + interval '10 minutes' or excluded.clock_lag_since is null
                        then old.clock_lag_previous_ms
                    when excluded.clock_lag_since < old.clock_lag_since + interval '20 minutes' then old.clock_lag_ms end,
                clock_lag_ms = case
                    when excluded.clock_lag_since >= old.clock_lag_since + interval '10 minutes' then excluded.clock_lag_ms
                    else least(old.clock_lag_ms, excluded.clock_lag_ms) end,
                clock_lag_since = case
                    when excluded.clock_lag_since < old.clock_lag_since + interval '10 minutes' then old.clock_lag_since
                    else coalesce(excluded.clock_lag_since, old.clock_lag_since) end
            """,
            key.FarmId,
            key.EquipmentId,
            key.StreamName,
            now,
            outcome.LastMeasuredAt,
            stored.Sum(result => (long)result.Readings),
            stored.Sum(result => (long)result.Duplicates),
            stored.Sum(result => (long)result.Questionable),
            outcome.ClockLagMilliseconds
        );
    }
}
