using Npgsql;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Events;

namespace NutrientLedger.Persistence.Verification;

/// <summary>
/// What was found along the hash chains of a farm's journal, and whether every event can still be read.
/// </summary>
internal sealed record ChainReport(long Events, int Streams, bool CanBePosted, List<string> Findings);

/// <summary>
/// Walks every stream of a farm from its first event to its last. A changed, inserted, removed or renamed event breaks
/// the chain there. The count beside the stream shows an event removed at the end. Each event is compared with its row
/// of the index of batches and with the readings kept at the ends of received ranges on the way.
/// </summary>
internal sealed class ChainAudit(string farmId, RangeEndAudit rangeEnds)
{
    private readonly List<string> findings = [];
    private bool canBePosted = true;
    private string stream = "";
    private string chainHash = "";
    private long version;

    public static async Task<ChainReport> RunAsync(
        NpgsqlConnection connection,
        string farmId,
        CancellationToken cancellationToken
    )
    {
        var audit = new ChainAudit(farmId, await RangeEndAudit.ReadAsync(connection, farmId, cancellationToken));
        var events = 0L;
        var known = await StreamsAsync(connection, farmId, cancellationToken);
        var ends = new Dictionary<string, long>();
        // Marten marks numbers that an aborted append used up as tombstones. An event turned into one would still be
        // found, because that event's version would be missing.
        await using var command = connection.Command(
            $"""
            select event.stream, version, type, body, coalesce(stream_hash, 'none'), event.id, span.*
            from journal.event left join lateral (
                select {BatchSpanRows.Columns} from {BatchSpanRows.Table} as span
                where span.farm = event.farm and span.position = event.position limit 1) as span on true
            where event.farm = $1 order by event.stream, version
            """,
            farmId
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        while (await rows.ReadAsync(cancellationToken))
        {
            events++;
            audit.Check(
                rows.GetString(0),
                rows.GetInt64(1),
                rows.GetString(2),
                rows.GetFieldValue<byte[]>(3),
                rows.GetString(4),
                rows.GetGuid(5),
                rows.IsDBNull(6) ? null : BatchSpanRows.Read(rows, 6)
            );
            ends[rows.GetString(0)] = rows.GetInt64(1);
        }
        foreach (var (key, appended) in known)
            if (ends.GetValueOrDefault(key) is var end && end != appended)
                audit.findings.Add($"stream {key}: it ends at version {end}, but {appended} were appended");
        return new(events, ends.Count, audit.canBePosted, audit.findings);
    }

    private void Check(string at, long number, string name, byte[] stored, string written, Guid id, BatchSpan? span)
    {
        if (at != stream)
            (stream, version, chainHash) = (at, 0, HashChain.Start(farmId, at));
        if (number != ++version)
            findings.Add($"stream {stream}: version {version} is missing");
        (version, var before) = (number, chainHash);
        chainHash = written;
        try
        {
            var @event = EventCodec.Decode(name, stored);
            if (BatchSpan.Of(@event) is var expected && expected != span)
                findings.Add(
                    $"stream {stream}, version {version}: the index of batches has {Text(span)}, but the event is {Text(expected)}"
                );
            foreach (var seq in rangeEnds.Wrong(@event))
                findings.Add(
                    $"stream {stream}, version {version}: the reading kept of number {seq}, at the end of a received range, is not the one in the event"
                );
            if (!HashChain.Matches(written, before, number, id, name, EventCodec.Encode(@event)))
                findings.Add(
                    $"stream {stream}, version {version}: the event does not match its chain hash. It was changed after it was written."
                );
        }
        catch (Exception e) when (e is FormatException or System.Text.Json.JsonException)
        {
            canBePosted = false;
            findings.Add($"stream {stream}, version {version}: the event cannot be read: {e.Message}");
        }
    }

    private static string Text(BatchSpan? span) => span?.ToString() ?? "no batch";

    private static async Task<Dictionary<string, long>> StreamsAsync(
        NpgsqlConnection connection,
        string farmId,
        CancellationToken cancellationToken
    )
    {
        await using var command = connection.Command(
            "select stream, version from journal.stream where farm = $1",
            farmId
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        var streams = new Dictionary<string, long>();
        while (await rows.ReadAsync(cancellationToken))
            streams.Add(rows.GetString(0), rows.GetInt64(1));
        return streams;
    }
}
