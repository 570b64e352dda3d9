using Npgsql;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Messages;

namespace NutrientLedger.Persistence.DeadLetters;

/// <summary>The list of refused messages: looked through, shown, closed. What is stored of them is written by the append.</summary>
public sealed class DeadLetterQueue(NpgsqlDataSource source, TimeProvider time)
{
    private const string Columns = """
        id, recorded_at, last_at, occurrences, topic, farm, equipment, stream, content_type, octet_length(payload), reason, state,
        retried_at, closed_at, closed_by, close_reason
        """;

    /// <summary>Refused messages, newest first.</summary>
    public async Task<IReadOnlyList<DeadLetterSummary>> ListAsync(
        DeadLetterQuery query,
        CancellationToken cancellationToken
    )
    {
        await using var command = source.Command(
            $"""
            select {Columns} from ingestion.dead_letter where ($1::text is null or farm = $1) and ($2::text is null or state = $2)
                and ($3::bigint is null or id < $3) order by id desc limit $4
            """,
            query.FarmId,
            query.State?.ToString().ToLowerInvariant(),
            query.Before,
            query.Limit
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var listed = new List<DeadLetterSummary>();
        while (await rows.ReadAsync(cancellationToken))
            listed.Add(Summary(rows));
        return listed;
    }

    /// <summary>How many were counted and not kept, for a farm or in all; what is not a known farm's counts for none.</summary>
    public async Task<IReadOnlyList<DeadLetterOverflow>> OverflowAsync(
        string? farmId,
        CancellationToken cancellationToken
    )
    {
        await using var command = source.Command(
            """
            select quota, device, messages, bytes, first_at, last_at, reason from ingestion.dead_letter_overflow
            where $1::text is null or quota = $1 or quota = '' and starts_with(device, $1 || '/')
            order by last_at desc limit 1000
            """,
            farmId
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var counted = new List<DeadLetterOverflow>();
        while (await rows.ReadAsync(cancellationToken))
            counted.Add(
                new(
                    rows.GetString(0),
                    rows.GetString(1),
                    rows.GetInt64(2),
                    rows.GetInt64(3),
                    rows.GetFieldValue<DateTimeOffset>(4),
                    rows.GetFieldValue<DateTimeOffset>(5),
                    rows.GetString(6)
                )
            );
        return counted;
    }

    /// <summary>One message with its bytes, or nothing.</summary>
    public async Task<DeadLetter?> ReadAsync(long id, CancellationToken cancellationToken)
    {
        await using var command = source.Command(
            $"select {Columns}, payload from ingestion.dead_letter where id = $1",
            id
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        return await rows.ReadAsync(cancellationToken)
            ? new(Summary(rows), rows.GetFieldValue<byte[]>(rows.FieldCount - 1))
            : null;
    }

    /// <summary>The numbers of a farm's open messages, oldest first, above a number.</summary>
    public async Task<IReadOnlyList<long>> OpenIdsAsync(
        string farmId,
        long above,
        int limit,
        CancellationToken cancellationToken
    )
    {
        await using var command = source.Command(
            "select id from ingestion.dead_letter where farm = $1 and state = 'open' and id > $2 order by id limit $3",
            farmId,
            above,
            limit
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var open = new List<long>();
        while (await rows.ReadAsync(cancellationToken))
            open.Add(rows.GetInt64(0));
        return open;
    }

    /// <summary>Closes an open message for a reason; false when it is not open (any more).</summary>
    public async Task<bool> CloseAsync(long id, string by, string reason, CancellationToken cancellationToken)
    {
        await using var command = source.Command(
            """
            update ingestion.dead_letter set state = 'closed', closed_at = $2, closed_by = $3, close_reason = $4, over_limit = null
            where id = $1 and state = 'open'
            """,
            id,
            time.GetUtcNow(),
            DeadLetterRows.Storable(by),
            DeadLetterRows.Storable(reason)
        );
        return await command.ExecuteNonQueryAsync(cancellationToken) == 1;
    }

    /// <summary>Notes that an offered message was refused again before it reached the journal.</summary>
    public async Task RejectedAgainAsync(long id, string reason, CancellationToken cancellationToken)
    {
        await using var connection = await source.OpenConnectionAsync(cancellationToken);
        await DeadLetterRows.RetriedAsync(
            connection,
            id,
            new AppendResult.Rejected(reason),
            time.GetUtcNow(),
            cancellationToken
        );
    }

    private static DeadLetterSummary Summary(NpgsqlDataReader row) =>
        new(
            row.GetInt64(0),
            row.GetFieldValue<DateTimeOffset>(1),
            row.GetFieldValue<DateTimeOffset>(2),
            row.GetInt64(3),
            row.GetString(4),
            Text(row, 5),
            Text(row, 6),
            Text(row, 7),
            Text(row, 8),
            row.GetInt32(9),
            row.GetString(10),
            Enum.Parse<DeadLetterState>(row.GetString(11), ignoreCase: true),
            Moment(row, 12),
            Moment(row, 13),
            Text(row, 14),
            Text(row, 15)
        );

    private static string? Text(NpgsqlDataReader row, int column) =>
        row.IsDBNull(column) ? null : row.GetString(column);

    private static DateTimeOffset? Moment(NpgsqlDataReader row, int column) =>
        row.IsDBNull(column) ? null : row.GetFieldValue<DateTimeOffset>(column);
}
