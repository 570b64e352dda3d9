using Npgsql;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.DeadLetters;

/// <summary>The table of rejected messages.</summary>
internal static class DeadLetterRows
{
    /// <summary>
    /// Makes the table. Messages whose topic names no known farm share the quota "". The column over_limit names the
    /// limit that a message is beyond; it is then kept as one of the newest.
    /// </summary>
    public const string Definition = $"""
        create table {Table} (
            id bigint generated always as identity primary key,
            recorded_at timestamptz not null, last_at timestamptz not null, occurrences bigint not null,
            topic text not null, content_type text, payload bytea not null, fingerprint bytea not null,
            farm text, equipment text, stream text,
            quota text not null, device text not null, over_limit text,
            reason text not null, state text not null default 'open',
            retried_at timestamptz, closed_at timestamptz, closed_by text, close_reason text
        );
        create unique index dead_letter_once on {Table} (fingerprint) where {IsOpen};
        create index dead_letter_open on {Table} (quota, device) where {IsOpen};
        create index dead_letter_of_farm on {Table} (farm, id);
        """;

    private const string Table = "ingestion.dead_letter";

    private const string IsOpen = "state = 'open'";

    private const string Summary = """
        id, recorded_at, last_at, occurrences, topic, farm, equipment, stream, content_type, octet_length(payload), reason,
        state, retried_at, closed_at, closed_by, close_reason
        """;

    /// <summary>Adds messages, all open. U+0000 is replaced: PostgreSQL's text cannot hold it.</summary>
    public static Task InsertAsync(
        NpgsqlConnection connection,
        NewDeadLetter[] rows,
        string? overLimit,
        DateTimeOffset now,
        CancellationToken cancellationToken
    ) =>
        rows.Length == 0
            ? Task.CompletedTask
            : connection.ExecuteAsync(
                $"""
                insert into {Table} (recorded_at, last_at, over_limit, fingerprint, topic, content_type, payload, reason,
                    farm, equipment, stream, quota, device, occurrences)
                select $1, $1, nullif($2, ''), * from unnest($3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13)
                """,
                cancellationToken,
                now,
                overLimit ?? "",
                Array.ConvertAll(rows, row => Convert.FromHexString(row.Fingerprint)),
                Array.ConvertAll(rows, row => Storable(row.Message.Topic)),
                Array.ConvertAll(rows, row => row.Message.ContentType is { } type ? Storable(type) : null),
                Array.ConvertAll(rows, row => row.Message.Payload.ToArray()),
                Array.ConvertAll(rows, row => Storable(row.Message.Reason)),
                Array.ConvertAll(rows, row => row.Farm),
                Array.ConvertAll(rows, row => row.Equipment),
                Array.ConvertAll(rows, row => row.Stream),
                Array.ConvertAll(rows, row => row.Quota),
                Array.ConvertAll(rows, row => row.Device),
                Array.ConvertAll(rows, row => (long)row.Occurrences)
            );

    /// <summary>Counts messages that are open already once more. Returns their fingerprints.</summary>
    public static Task<List<string>> CountRepeatedAsync(
        NpgsqlConnection connection,
        IReadOnlyList<(string Fingerprint, int Occurrences, string Reason)> messages,
        DateTimeOffset now,
        CancellationToken cancellationToken
    ) =>
        connection
            .Command(
                $"""
                update {Table} as known set occurrences = occurrences + fresh.n, last_at = $3, reason = fresh.reason
                from unnest($1, $2, $4) as fresh (fingerprint, n, reason)
                where known.fingerprint = fresh.fingerprint and known.{IsOpen} returning known.fingerprint
                """,
                messages.Select(message => Convert.FromHexString(message.Fingerprint)).ToArray(),
                messages.Select(message => message.Occurrences).ToArray(),
                now,
                messages.Select(message => Storable(message.Reason)).ToArray()
            )
            .ListAsync(row => Convert.ToHexString(row.GetFieldValue<byte[]>(0)), cancellationToken);

    /// <summary>How many messages are open of a quota, or of one device in it.</summary>
    public static async Task<int> CountOpenAsync(
        NpgsqlConnection connection,
        string quota,
        string? device,
        CancellationToken cancellationToken
    )
    {
        await using var command = connection.Command(
            $"select count(*)::int from {Table} where {IsOpen} and quota = $1 and ($2::text is null or device = $2)",
            quota,
            device
        );
        return (int)(await command.ExecuteScalarAsync(cancellationToken))!;
    }

    /// <summary>Deletes all but the newest messages over a limit, of a quota or of one device in it.</summary>
    public static async Task<DroppedMessages> DropOldestOverLimitAsync(
        NpgsqlConnection connection,
        string quota,
        string? device,
        string overLimit,
        int kept,
        CancellationToken cancellationToken
    )
    {
        var dropped = await connection
            .Command(
                $"""
                with dropped as (
                    delete from {Table} where id in (
                        select id from {Table} where {IsOpen} and quota = $1 and over_limit = $3
                            and ($2::text is null or device = $2) order by id desc offset $4)
                    returning occurrences, octet_length(payload) as bytes, recorded_at)
                select coalesce(sum(occurrences), 0)::bigint, coalesce(sum(bytes), 0)::bigint, min(recorded_at) from dropped
                """,
                quota,
                device,
                overLimit,
                kept
            )
            .ListAsync(
                row => new DroppedMessages(row.GetInt64(0), row.GetInt64(1), row.MomentOrNull(2)),
                cancellationToken
            );
        return dropped[0];
    }

    /// <summary>Messages, newest first.</summary>
    public static Task<List<DeadLetterSummary>> ListAsync(
        NpgsqlDataSource source,
        DeadLetterQuery query,
        CancellationToken cancellationToken
    ) =>
        source
            .Command(
                $"""
                select {Summary} from {Table} where ($1::text is null or farm = $1) and ($2::text is null or state = $2)
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
            .Command($"select {Summary}, payload from {Table} where id = $1", id)
            .ListAsync(row => new DeadLetter(ReadSummary(row), row.GetFieldValue<byte[]>(16)), cancellationToken);
        return found.SingleOrDefault();
    }

    /// <summary>The numbers of a farm's open messages, oldest first, above a number.</summary>
    public static Task<List<long>> OpenIdsAsync(
        NpgsqlDataSource source,
        string farmId,
        long above,
        int limit,
        CancellationToken cancellationToken
    ) =>
        source
            .Command(
                $"select id from {Table} where farm = $1 and {IsOpen} and id > $2 order by id limit $3",
                farmId,
                above,
                limit
            )
            .ListAsync(row => row.GetInt64(0), cancellationToken);

    /// <summary>Notes that an open message was stored by a retry, or that it was rejected again for a reason.</summary>
    public static Task RetriedAsync(
        NpgsqlConnection connection,
        long id,
        string? rejected,
        DateTimeOffset now,
        CancellationToken cancellationToken
    )
    {
        var change = rejected is null ? "state = 'stored', closed_at = $2, over_limit = null" : "reason = $3";
        object?[] values = rejected is null ? [id, now] : [id, now, Storable(rejected)];
        return connection.ExecuteAsync(
            $"update {Table} set retried_at = $2, {change} where id = $1 and {IsOpen}",
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
            update {Table} set state = 'closed', closed_at = $2, closed_by = $3, close_reason = $4, over_limit = null
            where id = $1 and {IsOpen}
            """,
            id,
            now,
            Storable(by),
            Storable(reason)
        );
        return await command.ExecuteNonQueryAsync(cancellationToken) == 1;
    }

    /// <summary>A text as the table can hold it.</summary>
    public static string Storable(string text) => text.Replace('\0', '\uFFFD');

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
            row.TextOrNull(15)
        );
}
