using Npgsql;
using NpgsqlTypes;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Persistence.Verification;

/// <summary>
/// Compares the index of batches with what stands beside it. Rows without a batch are found. Of each boot, the numbers
/// received must be those in its batches: a missing number would be stored twice, one too many would never be stored.
/// Run it with <see cref="ChainAudit"/>, which compares each batch with its row.
/// </summary>
internal static class ReceivedRangeAudit
{
    private const int RangesShown = 5;

    /// <summary>Everything that differs. PostgreSQL adds up the numbers, so that little is held in memory.</summary>
    public static async Task<List<string>> RunAsync(
        NpgsqlConnection connection,
        string farmId,
        CancellationToken cancellationToken
    )
    {
        var rows = connection.Command(
            $"""
            select {BatchSpanRows.Columns}, position from {BatchSpanRows.Table} as span
            where farm = $1 and not exists (
                select 1 from journal.event
                where farm = $1 and event.position = span.position and type = any($2))
            order by position
            """,
            farmId,
            JournalReader.BatchNames
        );
        var numbers = connection.Command(
            $"""
            select equipment, stream, boot, ranges - held, held - ranges, readings - numbers
            from (
                select equipment, stream, boot, coalesce(ranges, int8multirange()) as ranges, coalesce(held, int8multirange()) as held,
                    coalesce(readings, 0) as readings,
                    (select coalesce(sum(upper(run) - lower(run)), 0) from unnest(held) as run)::bigint as numbers
                from (select equipment, stream, boot, ranges from {ReceivedRangeRows.Table} where farm = $1) as received
                full join (
                    select equipment, stream, boot, range_agg(int8range(first_seq, last_seq, '[]')) as held,
                        sum(last_seq - first_seq + 1)::bigint as readings
                    from {BatchSpanRows.Table} where farm = $1 group by equipment, stream, boot
                ) as batches using (equipment, stream, boot)
            ) as boots
            where ranges <> held or readings <> numbers order by equipment, stream, boot
            """,
            farmId
        );
        return
        [
            .. await rows.ListAsync(
                row =>
                    $"the index of batches has {BatchSpanRows.Read(row, 0)} at position {row.GetInt64(7)}, where the journal has no batch",
                cancellationToken
            ),
            .. (await numbers.ListAsync(Differences, cancellationToken)).SelectMany(findings => findings),
        ];
    }

    private static List<string> Differences(NpgsqlDataReader row)
    {
        var boot = FormattableString.Invariant($"{row.GetString(0)}/{row.GetString(1)} boot {row.GetInt64(2)}");
        var (received, held, repeated) = (Ranges(row, 3), Ranges(row, 4), row.GetInt64(5));
        var findings = new List<string>();
        if (received.Length > 0)
            findings.Add($"{boot}: numbers {Text(received)} count as received, but no batch has them");
        if (held.Length > 0)
            findings.Add($"{boot}: numbers {Text(held)} are in batches, but do not count as received");
        if (repeated > 0)
            findings.Add($"{boot}: readings with a number that another batch has too: {repeated}");
        return findings;
    }

    private static NpgsqlRange<long>[] Ranges(NpgsqlDataReader row, int column) =>
        row.GetFieldValue<NpgsqlRange<long>[]>(column);

    private static string Text(NpgsqlRange<long>[] ranges) =>
        string.Join(
            ", ",
            ranges
                .Take(RangesShown)
                .Select(range => FormattableString.Invariant($"{range.LowerBound} to {range.UpperBound - 1}"))
        ) + (ranges.Length > RangesShown ? $" and {ranges.Length - RangesShown} more ranges" : "");
}
