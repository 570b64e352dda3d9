using Npgsql;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.DeadLetters;

/// <summary>Reads the table of rejected messages, and notes what became of one.</summary>
internal static class DeadLetterListRows
{
    private const string Summary = """
        id, recorded_at, last_at, occurrences, topic, farm, equipment, stream, content_type,
        coalesce(whole_bytes, octet_length(payload)), reason, state, retried_at, closed_at, closed_by, close_reason,
        octet_length(payload), encode(whole_sha256, 'hex')
        """;

    /// <summary>Messages, newest first.</summary>
    public static Task<List<DeadLetterSummary>> ListAsync(
        NpgsqlDataSource source,
        DeadLetterQuery query,
        CancellationToken cancellationToken
    ) =>
        source
            .Command(
                $"""
                select {Summary} from {DeadLetterRows.Table} where ($1::text is null or farm = $1) and ($2::text is null or state = $2)
                    and ($3::bigint is null or id < $3) order by id desc limit $4
                """,
                query.FarmId,
                query.State?.ToString().ToLowerInvariant(),
                query.Before,
                query.Limit
            )
            .ListAsync(ReadSummary, cancellationToken);

    /// <summary>One message with its bytes, or null.</summary>
    public static async Task<DeadLetter?> ReadAsync(
        NpgsqlDataSource source,
        long id,
        CancellationToken cancellationToken
    )
    {
        var found = await source
            .Command($"select {Summary}, payload from {DeadLetterRows.Table} where id = $1", id)
            .ListAsync(row => new DeadLetter(ReadSummary(row), row.GetFieldValue<byte[]>(18)), cancellationToken);
        return found.SingleOrDefault();
    }

    /// <summary>
    /// The numbers of a farm's open messages, oldest first, above a number. With a device, those that wait for a retry.
    /// </summary>
    public static Task<List<long>> OpenIdsAsync(
        NpgsqlDataSource source,
        string farmId,
        string? equipmentId,
        long above,
        int limit,
        CancellationToken cancellationToken
    ) =>
        source
            .Command(
                $"""
                select id from {DeadLetterRows.Table} where farm = $1 and {DeadLetterRows.IsOpen} and id > $2
                    and ($4::text is null or equipment = $4 and quota = '{NewDeadLetter.WaitingForRetry}')
                order by id limit $3
                """,
                farmId,
                above,
                limit,
                equipmentId
            )
            .ListAsync(row => row.GetInt64(0), cancellationToken);

    /// <summary>
    /// Notes that an open message was stored by a retry, or that it was rejected again for a reason. A sound one gets
    /// the quota of what it waits for.
    /// </summary>
    public static Task RetriedAsync(
        NpgsqlConnection connection,
        long id,
        string? rejected,
        string? waitingQuota,
        DateTimeOffset now,
        CancellationToken cancellationToken
    )
    {
        var change =
            rejected is null ? "state = 'stored', closed_at = $2, over_limit = null"
            : waitingQuota is null ? "reason = $3"
            : "reason = $3, quota = $4, device = farm || '/' || equipment";
        object?[] values =
            rejected is null ? [id, now]
            : waitingQuota is null ? [id, now, DeadLetterRows.Storable(rejected)]
            : [id, now, DeadLetterRows.Storable(rejected), waitingQuota];
        return connection.ExecuteAsync(
            $"update {DeadLetterRows.Table} set retried_at = $2, {change} where id = $1 and {DeadLetterRows.IsOpen}",
            cancellationToken,
            values
        );
    }

    /// <summary>Closes an open message for a reason. False when it is not open.</summary>
    public static async Task<bool> CloseAsync(
        NpgsqlDataSource source,
        long id,
        string by,
        string reason,
        DateTimeOffset now,
        CancellationToken cancellationToken
    )
    {
        await using var command = source.Command(
            $"""
            update {DeadLetterRows.Table} set state = 'closed', closed_at = $2, closed_by = $3, close_reason = $4, over_limit = null
            where id = $1 and {DeadLetterRows.IsOpen}
            """,
            id,
            now,
            DeadLetterRows.Storable(by),
            DeadLetterRows.Storable(reason)
        );
        return await command.ExecuteNonQueryAsync(cancellationToken) == 1;
    }

    private static DeadLetterSummary ReadSummary(NpgsqlDataReader row) =>
        new(
            row.GetInt64(0),
            row.GetFieldValue<DateTimeOffset>(1),
            row.GetFieldValue<DateTimeOffset>(2),
            row.GetInt64(3),
            row.GetString(4),
            row.TextOrNull(5),
            row.TextOrNull(6),
            row.TextOrNull(7),
            row.TextOrNull(8),
            row.GetInt32(9),
            row.GetString(10),
            Enum.Parse<DeadLetterState>(row.GetString(11), ignoreCase: true),
            row.MomentOrNull(12),
            row.MomentOrNull(13),
            row.TextOrNull(14),
            row.TextOrNull(15),
            row.GetInt32(16),
            row.TextOrNull(17)
        );
}
