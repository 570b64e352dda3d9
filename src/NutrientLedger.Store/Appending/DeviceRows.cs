using Npgsql;

namespace NutrientLedger.Store;

/// <summary>Writes, inside the transaction of an append, how senders fare and what was refused.</summary>
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

    public static async Task AddRefusedAsync(
        NpgsqlConnection connection,
        RefusedMessage[] messages,
        CancellationToken cancellationToken
    )
    {
        if (messages.Length == 0)
            return;
        await connection.RunAsync(
            "insert into intake.refused (topic, payload, reason) select * from unnest($1, $2, $3)",
            cancellationToken,
            // PostgreSQL's text cannot hold the character U+0000.
            Array.ConvertAll(messages, message => message.Topic.Replace('\0', '\uFFFD')),
            Array.ConvertAll(messages, message => message.Payload.ToArray()),
            Array.ConvertAll(messages, message => message.Reason.Replace('\0', '\uFFFD'))
        );
    }
}
