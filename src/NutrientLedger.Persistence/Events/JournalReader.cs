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

    private static readonly string[] RebuildNames =
    [
        .. EventTypes.All.Where(type => type.Changes == EventChanges.Rebuild).Select(type => type.StoredName),
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
    /// The batches of a stream of a farm, up to a position, with a reading or neighbour sent in one of these times. The
    /// index of batches leads to them.
    /// </summary>
    public IAsyncEnumerable<StoredEvent> BatchesMeasuredAsync(
        string farmId,
        TelemetryStream stream,
        IEnumerable<SentTimes> times,
        long upTo,
        CancellationToken cancellationToken
    )
    {
        SentTimes[] wanted = [.. times];
        return ReadAsync(
            $"""
            select {Columns} from (
                select distinct span.position as found
                from unnest($3, $4, $5) as wanted (equipment, since, before)
                join {BatchSpanRows.Table} as span on span.farm = $1 and span.stream = $2
                    and span.equipment = wanted.equipment
                    and span.measured_to >= wanted.since and span.measured_from < wanted.before
                where span.position <= $6
            ) as batches cross join lateral (
                select {Columns} from journal.event where farm = $1 and position = found limit 1) as event
            order by found
            """,
            [
                farmId,
                BatchSpanRows.Name(stream),
                Array.ConvertAll(wanted, times => times.EquipmentId),
                Array.ConvertAll(wanted, times => times.FromMilliseconds),
                Array.ConvertAll(wanted, times => times.UntilMilliseconds),
                upTo,
            ],
            cancellationToken
        );
    }

    /// <summary>The batches of a device's boot that hold one of these numbers, both ends included.</summary>
    public IAsyncEnumerable<StoredEvent> BatchesNumberedAsync(
        string farmId,
        TelemetryStream stream,
        string equipmentId,
        long boot,
        long first,
        long last,
        CancellationToken cancellationToken
    ) =>
        ReadAsync(
            $"""
            select {Columns} from (
                select span.position as found from {BatchSpanRows.Table} as span
                where farm = $1 and span.stream = $2 and equipment = $3 and boot = $4 and first_seq <= $6 and last_seq >= $5
            ) as batches cross join lateral (
                select {Columns} from journal.event where farm = $1 and position = found limit 1) as event
            order by found
            """,
            [farmId, BatchSpanRows.Name(stream), equipmentId, boot, first, last],
            cancellationToken
        );

    /// <summary>The position of a farm's last event that changes what is posted; 0 without any.</summary>
    public static async Task<long> LastRebuildAsync(
        NpgsqlConnection connection,
        string farmId,
        CancellationToken cancellationToken
    )
    {
        await using var command = connection.Command(
            $"""
            select coalesce(max(position + 0), 0) from journal.event
            where farm = $1 and stream = '{ConfigurationStream}' and type = any($2)
            """,
            farmId,
            RebuildNames
        );
        return (long)(await command.ExecuteScalarAsync(cancellationToken))!;
    }

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
