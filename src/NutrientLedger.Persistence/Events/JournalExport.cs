using System.Runtime.CompilerServices;
using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.Events;

/// <summary>
/// An event with all that the journal knows of it. Kind is its stored name, version its place in its stream.
/// </summary>
public sealed record ExportedEvent(
    long Position,
    DateTimeOffset RecordedAt,
    string Stream,
    long Version,
    string Kind,
    IJournalEvent Event
);

/// <summary>Exports a farm's journal event by event, in the order of positions. It is never held in memory.</summary>
public sealed class JournalExport(NpgsqlDataSource source)
{
    /// <summary>The events from one position to another, both included. Of one kind or of all.</summary>
    public async IAsyncEnumerable<ExportedEvent> ReadAsync(
        string farmId,
        long from,
        long to,
        string? kind,
        [EnumeratorCancellation] CancellationToken cancellationToken
    )
    {
        await using var command = source.Command(
            """
            select position, recorded_at, stream, version, type, body from journal.event
            where farm = $1 and position between $2 and $3 and ($4::text is null or type = $4)
            order by position
            """,
            farmId,
            from,
            to,
            kind
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        while (await rows.ReadAsync(cancellationToken))
            yield return new(
                rows.GetInt64(0),
                rows.GetFieldValue<DateTimeOffset>(1),
                rows.GetString(2),
                rows.GetInt64(3),
                rows.GetString(4),
                EventCodec.Decode(rows.GetString(4), rows.GetFieldValue<byte[]>(5))
            );
    }
}
