using Npgsql;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Events;

namespace NutrientLedger.Persistence.Verification;

/// <summary>
/// Walks a farm's chain from its first event to its last, over all streams. It shows what no stream can show: an event
/// moved in time or place, a stream that is gone, an event that the hub did not append. Run it with
/// <see cref="ChainAudit"/>, which shows that the hash of each event in its stream is right.
/// </summary>
internal sealed class FarmChainAudit(string farmId)
{
    private const int FindingsShown = 20;

    private readonly List<string> findings = [];
    private byte[] before = FarmChain.Start(farmId);

    public static async Task<List<string>> RunAsync(
        NpgsqlConnection connection,
        string farmId,
        CancellationToken cancellationToken
    )
    {
        var audit = new FarmChainAudit(farmId);
        await using var command = connection.Command(
            $"""
            select position, hash, recorded_at, coalesce(stream_hash, ''), type, stream, version
            from (select position, hash from {FarmChainRows.Table} where farm = $1) as chain
            full join (select position, recorded_at, stream_hash, type, stream, version from journal.event where farm = $1)
                as event using (position)
            order by position
            """,
            farmId
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        while (await rows.ReadAsync(cancellationToken))
            audit.Check(rows);
        var more = audit.findings.Count - FindingsShown;
        return more <= 0
            ? audit.findings
            : [.. audit.findings.Take(FindingsShown), $"the farm's chain: {more} more findings like these"];
    }

    private void Check(NpgsqlDataReader row)
    {
        var position = row.GetInt64(0);
        if (row.IsDBNull(2))
            findings.Add(
                FormattableString.Invariant($"position {position}: its event is gone. The farm's chain has it still.")
            );
        else if (row.IsDBNull(1))
            findings.Add($"{Event(row)}: the event is not in the farm's chain. The hub did not append it there.");
        else if (
            !FarmChain
                .Next(before, position, row.GetFieldValue<DateTimeOffset>(2), row.GetString(3))
                .AsSpan()
                .SequenceEqual(row.GetFieldValue<byte[]>(1))
        )
            findings.Add(
                $"{Event(row)}: position or time of recording is not the one it was appended with, or the event before it in the farm's chain is gone"
            );
        if (!row.IsDBNull(1))
            before = row.GetFieldValue<byte[]>(1);
    }

    private static string Event(NpgsqlDataReader row) =>
        FormattableString.Invariant(
            $"position {row.GetInt64(0)}, {row.GetString(4)}, stream {row.GetString(5)}, version {row.GetInt64(6)}"
        );
}
