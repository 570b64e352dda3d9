using Npgsql;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.DeadLetters;

/// <summary>The table that counts rejected messages which were not kept.</summary>
internal static class DeadLetterOverflowRows
{
    /// <summary>Makes the table. The device is "" where the limit of a whole farm was reached.</summary>
    public const string Definition = $"""
        create table {Table} (
            quota text, device text, messages bigint not null, bytes bigint not null,
            first_at timestamptz not null, last_at timestamptz not null, reason text not null,
            primary key (quota, device)
        );
        """;

    private const string Table = "ingestion.dead_letter_overflow";

    private const string Columns = "quota, device, messages, bytes, first_at, last_at, reason";

    /// <summary>Adds to the count of a quota and device. The earliest time and the newest reason stay.</summary>
    public static Task AddAsync(
        NpgsqlConnection connection,
        DeadLetterOverflow overflow,
        CancellationToken cancellationToken
    ) =>
        connection.ExecuteAsync(
            $"""
            insert into {Table} as known ({Columns}) values ($1, $2, $3, $4, $5, $6, $7)
            on conflict (quota, device) do update set messages = known.messages + excluded.messages,
                bytes = known.bytes + excluded.bytes, last_at = excluded.last_at, reason = excluded.reason
            """,
            cancellationToken,
            overflow.FarmId,
            overflow.Device,
            overflow.Messages,
            overflow.Bytes,
            overflow.FirstAt,
            overflow.LastAt,
            overflow.Reason
        );

    /// <summary>
    /// The counts of a farm, or of all. Counts of no known farm are listed under the farm that the topic names.
    /// </summary>
    public static Task<List<DeadLetterOverflow>> ListAsync(
        NpgsqlDataSource source,
        string? farmId,
        CancellationToken cancellationToken
    ) =>
        source
            .Command(
                $"""
                select {Columns} from {Table}
                where $1::text is null or quota = $1 or quota = '' and starts_with(device, $1 || '/')
                order by last_at desc limit 1000
                """,
                farmId
            )
            .ListAsync(
                row => new DeadLetterOverflow(
                    row.GetString(0),
                    row.GetString(1),
                    row.GetInt64(2),
                    row.GetInt64(3),
                    row.GetFieldValue<DateTimeOffset>(4),
                    row.GetFieldValue<DateTimeOffset>(5),
                    row.GetString(6)
                ),
                cancellationToken
            );
}
