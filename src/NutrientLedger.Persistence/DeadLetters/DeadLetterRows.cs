using System.Security.Cryptography;
using System.Text;
using Npgsql;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Messages;

namespace NutrientLedger.Persistence.DeadLetters;

/// <summary>Keeps refused messages inside the transaction of an append, each once, and no more than the limits allow.</summary>
internal sealed class DeadLetterRows(DeadLetterLimits limits)
{
    private const string OverDeviceLimit = "device";
    private const string OverFarmLimit = "farm";

    /// <summary>Adds what is new, counts what is known, and counts without keeping what is beyond a limit.</summary>
    public async Task AddAsync(
        NpgsqlConnection connection,
        IReadOnlyList<RejectedMessage> messages,
        DateTimeOffset now,
        CancellationToken cancellationToken
    )
    {
        if (messages.Count == 0)
            return;
        // One writer at a time, so that two hubs neither overrun a limit together nor wait for each other in a circle.
        await connection.ExecuteAsync("select pg_advisory_xact_lock(hashtext('refused'))", cancellationToken);
        var arrived = messages.GroupBy(Fingerprint).ToDictionary(same => same.Key, same => (same.Last(), same.Count()));
        foreach (var known in await CountRepeatedAsync(connection, arrived, now, cancellationToken))
            arrived.Remove(known);
        var farms = await KnownFarmsAsync(connection, arrived.Values.Select(one => one.Item1), cancellationToken);
        var added = arrived.Select(one => new NewDeadLetter(one.Key, one.Value.Item1, one.Value.Item2, farms));
        foreach (var quota in added.GroupBy(one => one.Quota))
        {
            var farmRoom = limits.OpenPerFarmMax - await CountOpenAsync(connection, quota.Key, null, cancellationToken);
            foreach (var device in quota.GroupBy(one => one.Device))
            {
                var open = await CountOpenAsync(connection, quota.Key, device.Key, cancellationToken);
                var deviceRoom = limits.OpenPerDeviceMax - open;
                var room = Math.Max(0, Math.Min(farmRoom, deviceRoom));
                NewDeadLetter[] within = [.. device.Take(room)];
                NewDeadLetter[] over = [.. device.Skip(room)];
                await InsertAsync(connection, within, overLimit: null, now, cancellationToken);
                if (over.Length > 0)
                    await KeepNewestAsync(connection, over, deviceRoom <= farmRoom, now, cancellationToken);
                farmRoom -= within.Length;
            }
        }
    }

    /// <summary>What an offered message came to: it is closed when it was stored, and stays open with the new reason when not.</summary>
    public static Task RetriedAsync(
        NpgsqlConnection connection,
        long id,
        AppendResult result,
        DateTimeOffset now,
        CancellationToken cancellationToken
    ) =>
        result is AppendResult.Rejected { Reason: var reason }
            ? connection.ExecuteAsync(
                "update ingestion.dead_letter set retried_at = $2, reason = $3 where id = $1 and state = 'open'",
                cancellationToken,
                id,
                now,
                Storable(reason)
            )
            : connection.ExecuteAsync(
                """
                update ingestion.dead_letter set state = 'stored', retried_at = $2, closed_at = $2, over_limit = null
                where id = $1 and state = 'open'
                """,
                cancellationToken,
                id,
                now
            );

    // PostgreSQL's text cannot hold the character U+0000.
    internal static string Storable(string text) => text.Replace('\0', '\uFFFD');

    private async Task KeepNewestAsync(
        NpgsqlConnection connection,
        NewDeadLetter[] over,
        bool ofDevice,
        DateTimeOffset now,
        CancellationToken cancellationToken
    )
    {
        NewDeadLetter[] newest = [.. over.TakeLast(limits.NewestKeptMax)];
        var overLimit = ofDevice ? OverDeviceLimit : OverFarmLimit;
        await InsertAsync(connection, newest, overLimit, now, cancellationToken);
        var passedOver = over.SkipLast(limits.NewestKeptMax);
        await connection.ExecuteAsync(
            """
            with old as (
                delete from ingestion.dead_letter where id in (
                    select id from ingestion.dead_letter where state = 'open' and quota = $1 and over_limit = $3
                        and ($3 = 'farm' or device = $2) order by id desc offset $4)
                returning occurrences, octet_length(payload) as bytes, recorded_at),
            counted as (
                select $5 + coalesce(sum(occurrences), 0) as messages, $6 + coalesce(sum(bytes), 0) as bytes,
                    coalesce(min(recorded_at), $7) as first_at from old)
            insert into ingestion.dead_letter_overflow as known (quota, device, messages, bytes, first_at, last_at, reason)
            select $1, case $3 when 'farm' then '' else $2 end, messages::bigint, bytes::bigint, first_at, $7, $8
            from counted where messages > 0
            on conflict (quota, device) do update set messages = known.messages + excluded.messages,
                bytes = known.bytes + excluded.bytes, last_at = excluded.last_at, reason = excluded.reason
            """,
            cancellationToken,
            over[0].Quota,
            over[0].Device,
            overLimit,
            limits.NewestKeptMax,
            passedOver.Sum(one => (long)one.Occurrences),
            passedOver.Sum(one => (long)one.Message.Payload.Length),
            now,
            ofDevice
                ? $"{limits.OpenPerDeviceMax} messages of this device are open"
                : $"{limits.OpenPerFarmMax} messages are open already"
        );
    }

    private static async Task<IReadOnlyList<string>> CountRepeatedAsync(
        NpgsqlConnection connection,
        Dictionary<string, (RejectedMessage Message, int Times)> arrived,
        DateTimeOffset now,
        CancellationToken cancellationToken
    )
    {
        await using var command = connection.Command(
            """
            update ingestion.dead_letter as known set occurrences = occurrences + fresh.n, last_at = $3, reason = fresh.reason
            from unnest($1, $2, $4) as fresh (fingerprint, n, reason)
            where known.fingerprint = fresh.fingerprint and known.state = 'open' returning known.fingerprint
            """,
            arrived.Keys.Select(Convert.FromHexString).ToArray(),
            arrived.Values.Select(one => one.Times).ToArray(),
            now,
            arrived.Values.Select(one => Storable(one.Message.Reason)).ToArray()
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var known = new List<string>();
        while (await rows.ReadAsync(cancellationToken))
            known.Add(Convert.ToHexString(rows.GetFieldValue<byte[]>(0)));
        return known;
    }

    private static async Task<HashSet<string>> KnownFarmsAsync(
        NpgsqlConnection connection,
        IEnumerable<RejectedMessage> messages,
        CancellationToken cancellationToken
    )
    {
        await using var command = connection.Command(
            """
            select name from unnest($1) as asked (name)
            where exists (select from journal.mt_streams where tenant_id = asked.name)
            """,
            // A lone array of text would be taken for the list of parameters itself.
            (object)
                messages
                    .Select(message => NewDeadLetter.TopicPartsOf(message.Topic).Farm)
                    .OfType<string>()
                    .Distinct()
                    .ToArray()
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var farms = new HashSet<string>();
        while (await rows.ReadAsync(cancellationToken))
            farms.Add(rows.GetString(0));
        return farms;
    }

    private static async Task<int> CountOpenAsync(
        NpgsqlConnection connection,
        string quota,
        string? device,
        CancellationToken cancellationToken
    )
    {
        await using var command = connection.Command(
            """
            select count(*)::int from ingestion.dead_letter
            where state = 'open' and quota = $1 and ($2::text is null or device = $2)
            """,
            quota,
            device
        );
        return (int)(await command.ExecuteScalarAsync(cancellationToken))!;
    }

    private static Task InsertAsync(
        NpgsqlConnection connection,
        NewDeadLetter[] rows,
        string? overLimit,
        DateTimeOffset now,
        CancellationToken cancellationToken
    ) =>
        rows.Length == 0
            ? Task.CompletedTask
            : connection.ExecuteAsync(
                """
                insert into ingestion.dead_letter (recorded_at, last_at, over_limit, fingerprint, topic, content_type, payload, reason,
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

    /// <summary>The same bytes from the same topic are the same message, however often they come.</summary>
    private static string Fingerprint(RejectedMessage message) =>
        Convert.ToHexString(
            SHA256.HashData([
                .. Encoding.UTF8.GetBytes($"{Storable(message.Topic)}\0{message.ContentType}\0"),
                .. message.Payload.Span,
            ])
        );
}
