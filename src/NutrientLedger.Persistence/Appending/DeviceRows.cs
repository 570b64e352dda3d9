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
            insert into intake.device as old (farm, equipment, stream, last_recorded_at, last_measured_at, stored, duplicate,
                doubtful, clock_lag, clock_since)
            values ($1, $2, $3, $4, $5, $6, $7, $8, $9::bigint, case when $9::bigint is not null then $4 end)
            on conflict (farm, equipment, stream) do update set
                last_recorded_at = greatest(old.last_recorded_at, excluded.last_recorded_at),
                last_measured_at = greatest(old.last_measured_at, excluded.last_measured_at),
                stored = old.stored + excluded.stored,
                duplicate = old.duplicate + excluded.duplicate,
                doubtful = old.doubtful + excluded.doubtful,
                clock_lag_before = case
                    when excluded.clock_since < old.clock_since + interval '10 minutes' or excluded.clock_since is null
                        then old.clock_lag_before
                    when excluded.clock_since < old.clock_since + interval '20 minutes' then old.clock_lag end,
                clock_lag = case
                    when excluded.clock_since >= old.clock_since + interval '10 minutes' then excluded.clock_lag
                    else least(old.clock_lag, excluded.clock_lag) end,
                clock_since = case
                    when excluded.clock_since < old.clock_since + interval '10 minutes' then old.clock_since
                    else coalesce(excluded.clock_since, old.clock_since) end
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
