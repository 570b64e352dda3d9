using System.Globalization;
using System.Runtime.CompilerServices;
using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.Events;

/// <summary>An event as it is in the journal.</summary>
internal sealed record StoredEvent(long Position, DateTimeOffset RecordedAt, IJournalEvent Event);

/// <summary>
/// Reads journal rows from the event table, in the order of their positions. They are never all in memory.
/// </summary>
internal sealed class JournalReader(NpgsqlDataSource source)
{
    /// <summary>The stream that holds a farm's configuration events.</summary>
    public const string ConfigurationStream = "configuration";

    private const string Columns = "position, recorded_at, type, body";

    /// <summary>The stored names of batches of telemetry.</summary>
    public static readonly string[] BatchNames =
    [
        .. EventTypes.All.Where(type => type.IsBatch).Select(type => type.StoredName),
    ];

    /// <summary>
    /// The configuration events of a farm after one position and up to another. They are found in the stream's index.
    /// By position PostgreSQL might walk through all batches recorded since.
    /// </summary>
    public IAsyncEnumerable<StoredEvent> ConfigurationEventsAsync(
        string farmId,
        long after,
        long upTo,
        CancellationToken cancellationToken
    ) =>
        ReadAsync(
            $"""
            select {Columns} from journal.event
            where farm = $1 and stream = '{ConfigurationStream}' and position + 0 > $2 and position + 0 <= $3
            order by version
            """,
            [farmId, after, upTo],
            cancellationToken
        );

    /// <summary>The configuration events of a farm after a version of its configuration stream.</summary>
    public IAsyncEnumerable<StoredEvent> ConfigurationEventsAfterAsync(
        string farmId,
        long version,
        CancellationToken cancellationToken
    ) =>
        ReadAsync(
            $"""
            select {Columns} from journal.event
            where farm = $1 and stream = '{ConfigurationStream}' and version > $2 order by version
            """,
            [farmId, version],
            cancellationToken
        );

    /// <summary>The batches of a farm after one position and up to another.</summary>
    public IAsyncEnumerable<StoredEvent> BatchesAsync(
        string farmId,
        long after,
        long upTo,
        CancellationToken cancellationToken
    ) =>
        ReadAsync(
            $"""
            select {Columns} from journal.event
            where farm = $1 and type = any($2) and position > $3 and position <= $4 order by position
            """,
            [farmId, BatchNames, after, upTo],
            cancellationToken
        );

    /// <summary>
    /// The batches of one stream of a farm up to a position, of some devices (of all when none is named). They were
    /// recorded on the day (UTC) of a moment or later. The days are in the names of the streams, so earlier ones are
    /// not read at all.
    /// </summary>
    public IAsyncEnumerable<StoredEvent> TelemetryAsync<TEvent>(
        string farmId,
        TelemetryStream stream,
        string[] equipmentIds,
        DateTimeOffset recordedFrom,
        long upTo,
        CancellationToken cancellationToken
    )
        where TEvent : class, IDefinedEvent<TEvent> =>
        ReadAsync(
            $"""
            select {Columns} from journal.event
            where farm = $1 and type = $2 and position <= $6 and stream in (
                select stream from journal.stream
                where farm = $1 and split_part(stream, '/', 2) = $3
                  and (cardinality($4) = 0 or split_part(stream, '/', 1) = any($4))
                  and split_part(stream, '/', 3) collate "C" >= $5)
            order by position
            """,
            [
                farmId,
                EventTypes.Of<TEvent>().StoredName,
                stream.ToString().ToLowerInvariant(),
                equipmentIds,
                recordedFrom.UtcDateTime.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture),
                upTo,
            ],
            cancellationToken
        );

    /// <summary>The batches of a farm that were recorded from a moment on.</summary>
    public IAsyncEnumerable<StoredEvent> BatchesRecordedAsync(
        string farmId,
        DateTimeOffset from,
        CancellationToken cancellationToken
    ) =>
        ReadAsync(
            $"""
            select {Columns} from journal.event
            where farm = $1 and type = any($2) and recorded_at >= $3 order by position
            """,
            [farmId, BatchNames, from.ToUniversalTime()],
            cancellationToken
        );

    /// <summary>Whether a farm has batches before a position.</summary>
    public async Task<bool> AnyBatchBeforeAsync(string farmId, long position, CancellationToken cancellationToken)
    {
        await using var command = source.Command(
            "select exists (select 1 from journal.event where farm = $1 and type = any($2) and position < $3)",
            farmId,
            BatchNames,
            position
        );
        return (bool)(await command.ExecuteScalarAsync(cancellationToken))!;
    }

    /// <summary>A farm's configuration as of a position.</summary>
    public async Task<FarmConfiguration> ConfigurationAsync(
        string farmId,
        long asOf,
        CancellationToken cancellationToken
    )
    {
        var configuration = FarmConfiguration.Empty;
        await foreach (var row in ConfigurationEventsAsync(farmId, 0, asOf, cancellationToken))
            configuration = configuration.With(row.Event);
        return configuration;
    }

    /// <summary>Those of these names that are farms with events.</summary>
    public static async Task<HashSet<string>> KnownFarmsAsync(
        NpgsqlConnection connection,
        string[] names,
        CancellationToken cancellationToken
    )
    {
        var known = await connection
            .Command(
                """
                select name from unnest($1) as asked (name)
                where exists (select 1 from journal.stream where farm = asked.name)
                """,
                // An array of text alone would be taken for the list of parameters.
                (object)names
            )
            .ListAsync(row => row.GetString(0), cancellationToken);
        return [.. known];
    }

    private async IAsyncEnumerable<StoredEvent> ReadAsync(
        string sql,
        object[] values,
        [EnumeratorCancellation] CancellationToken cancellationToken
    )
    {
        await using var command = source.Command(sql, values);
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        while (await rows.ReadAsync(cancellationToken))
            yield return new(
                rows.GetInt64(0),
                rows.GetFieldValue<DateTimeOffset>(1),
                EventCodec.Decode(rows.GetString(2), rows.GetFieldValue<byte[]>(3))
            );
    }
}
