using Npgsql;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.DeadLetters;

/// <summary>The table of rejected messages.</summary>
internal static class DeadLetterRows
{
    /// <summary>
    /// Makes the table. Messages whose topic names no known farm share the quota "", sound ones have others. The column
    /// over_limit names the limit that a message is beyond; it is then kept as one of the newest. The columns whole_
    /// describe a message of which only the beginning is kept.
    /// </summary>
    public const string Definition = $"""
        create table {Table} (
            id bigint generated always as identity primary key,
            recorded_at timestamptz not null, last_at timestamptz not null, occurrences bigint not null,
            topic text not null, content_type text, payload bytea not null, fingerprint bytea not null,
            farm text, equipment text, stream text,
            quota text not null, device text not null, over_limit text,
            reason text not null, state text not null default 'open',
            whole_bytes int, whole_sha256 bytea,
            retried_at timestamptz, closed_at timestamptz, closed_by text, close_reason text
        );
        create unique index dead_letter_once on {Table} (fingerprint) where {IsOpen};
        create index dead_letter_open on {Table} (quota, device) where {IsOpen};
        create index dead_letter_of_farm on {Table} (farm, id);
        """;

    public const string Table = "ingestion.dead_letter";

    public const string IsOpen = "state = 'open'";

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
                    farm, equipment, stream, quota, device, occurrences, whole_bytes, whole_sha256)
                select $1, $1, nullif($2, ''), * from
                    unnest($3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14::int[], $15::bytea[])
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
                Array.ConvertAll(rows, row => (long)row.Occurrences),
                Array.ConvertAll(rows, row => row.Message.Whole?.Bytes),
                Array.ConvertAll(
                    rows,
                    row => row.Message.Whole is { } whole ? Convert.FromHexString(whole.Sha256) : null
                )
            );

    /// <summary>
    /// Counts messages that are open already once more, under another quota if one is given. Returns their
    /// fingerprints.
    /// </summary>
    public static Task<List<string>> CountRepeatedAsync(
        NpgsqlConnection connection,
        IReadOnlyList<(string Fingerprint, int Occurrences, string Reason, string? Quota)> messages,
        DateTimeOffset now,
        CancellationToken cancellationToken
    ) =>
        connection
            .Command(
                $"""
                update {Table} as known set occurrences = occurrences + fresh.n, last_at = $3, reason = fresh.reason,
                    quota = coalesce(fresh.quota, known.quota),
                    device = case when fresh.quota is null then known.device else farm || '/' || equipment end
                from unnest($1, $2, $4, $5) as fresh (fingerprint, n, reason, quota)
                where known.fingerprint = fresh.fingerprint and known.{IsOpen} returning known.fingerprint
                """,
                messages.Select(message => Convert.FromHexString(message.Fingerprint)).ToArray(),
                messages.Select(message => message.Occurrences).ToArray(),
                now,
                messages.Select(message => Storable(message.Reason)).ToArray(),
                messages.Select(message => message.Quota).ToArray()
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

    /// <summary>How many sound messages of each farm and device wait.</summary>
    public static Task<List<(string Farm, string Device, int Messages)>> CountWaitingAsync(
        NpgsqlConnection connection,
        CancellationToken cancellationToken
    ) =>
        connection
            .Command(
                $"""
                select split_part(device, '/', 1), device, count(*)::int from {Table}
                where {IsOpen} and quota = any($1) group by device
                """,
                (object)NewDeadLetter.Waiting
            )
            .ListAsync(row => (row.GetString(0), row.GetString(1), row.GetInt32(2)), cancellationToken);

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

    /// <summary>A text as the table can hold it.</summary>
    public static string Storable(string text) => text.Replace('\0', '\uFFFD');
}
