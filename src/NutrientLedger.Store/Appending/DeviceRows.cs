using Npgsql;

namespace NutrientLedger.Store;

/// <summary>Writes, inside the transaction of an append, how senders fare.</summary>
internal static class DeviceRows
{
    public static NpgsqlBatchCommand Count(SeenKey key, SenderOutcome outcome, DateTimeOffset now)
    {
        var stored = outcome.Fates.OfType<AppendFate.Stored>().ToArray();
        return Sql.BatchCommand(
            """
            insert into intake.device as old values ($1, $2, $3, $4, $5, $6, $7, $8)
            on conflict (farm, equipment, stream) do update set
                last_recorded_at = greatest(old.last_recorded_at, excluded.last_recorded_at),
                last_measured_at = greatest(old.last_measured_at, excluded.last_measured_at),
                stored = old.stored + excluded.stored,
                duplicate = old.duplicate + excluded.duplicate,
                doubtful = old.doubtful + excluded.doubtful
            """,
            key.FarmId,
            key.EquipmentId,
            key.StreamName,
            now,
            outcome.LastMeasuredAt,
            stored.Sum(fate => (long)fate.Readings),
            stored.Sum(fate => (long)fate.Duplicates),
            stored.Sum(fate => (long)fate.Doubtful)
        );
    }
}
