using Npgsql;
using NutrientLedger.Journal.Seals;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Events;

namespace NutrientLedger.Persistence.Seals;

/// <summary>A seal as it is in a farm's journal.</summary>
public sealed record StoredSeal(string FarmId, long Position, DateTimeOffset SealedAt, JournalSealed Seal);

/// <summary>The end of a farm's chain, and whether anything before a day is not sealed yet.</summary>
internal sealed record ChainHead(string FarmId, long Position, string Hash, bool IsDue);

/// <summary>Reads seals, and what they seal.</summary>
internal static class SealRows
{
    /// <summary>The stream of a farm that holds its seals.</summary>
    public const string Stream = "seals";

    /// <summary>
    /// The command that reads the ends of the chains of farms. Due is a farm with an event from before a moment that no
    /// seal covers.
    /// </summary>
    public static NpgsqlBatchCommand ReadHeads(string[] farmIds, DateTimeOffset before) =>
        SqlCommands.BatchCommand(
            $"""
            select farm, head.position, encode(hash, 'hex'), coalesce(unsealed.recorded_at < $2, false)
            from unnest($1) as wanted (farm)
            cross join lateral (
                select position, hash from {FarmChainRows.Table} as chain where chain.farm = wanted.farm
                order by position desc limit 1) as head
            left join lateral (
                select position from journal.event where event.farm = wanted.farm and stream = '{Stream}'
                order by version desc limit 1) as seal on true
            left join lateral (
                select recorded_at from {FarmChainRows.Table} as chain join journal.event using (farm, position)
                where chain.farm = wanted.farm and chain.position > coalesce(seal.position, 0)
                order by chain.position limit 1) as unsealed on true
            """,
            farmIds,
            before.UtcDateTime
        );

    /// <summary>Reads a row of <see cref="ReadHeads"/>.</summary>
    public static ChainHead Head(NpgsqlDataReader row) =>
        new(row.GetString(0), row.GetInt64(1), row.GetString(2), row.GetBoolean(3));

    /// <summary>The seals of a farm, or of all farms, the newest first.</summary>
    public static async Task<List<StoredSeal>> ListAsync(
        NpgsqlConnection connection,
        string? farmId,
        int? limit,
        CancellationToken cancellationToken
    ) =>
        await connection
            .Command(
                $"""
                select event.farm, position, recorded_at, body from journal.stream
                cross join lateral (
                    select farm, position, recorded_at, body from journal.event
                    where event.farm = stream.farm and event.stream = stream.stream) as event
                where stream.stream = '{Stream}' and ($1::text is null or stream.farm = $1)
                order by position desc limit $2
                """,
                farmId,
                limit
            )
            .ListAsync(
                row => new StoredSeal(
                    row.GetString(0),
                    row.GetInt64(1),
                    row.GetFieldValue<DateTimeOffset>(2),
                    (JournalSealed)EventTypes.Of<JournalSealed>().Decode(row.GetFieldValue<byte[]>(3))
                ),
                cancellationToken
            );
}
