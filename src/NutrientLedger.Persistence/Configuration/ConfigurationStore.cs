using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Events;

namespace NutrientLedger.Persistence.Configuration;

/// <summary>One event of a farm's configuration as the journal holds it. Its version counts from 1.</summary>
public sealed record RecordedEvent(long Position, long Version, DateTimeOffset RecordedAt, IJournalEvent Event);

/// <summary>A farm's configuration at a journal position. Its version is the number of events in it.</summary>
public sealed record ConfigurationSnapshot(
    string FarmId,
    FarmConfiguration Configuration,
    long Version,
    IReadOnlyList<RecordedEvent> Events
);

/// <summary>Another writer changed the farm's configuration meanwhile. Read it again and decide again.</summary>
public sealed class ConfigurationConflictException(string message) : Exception(message);

/// <summary>Reads and extends the configurations of farms.</summary>
public sealed class ConfigurationStore(NpgsqlDataSource source, ConfigurationCache cache, TimeProvider time)
{
    private readonly JournalReader journal = new(source);

    /// <summary>The ids of all registered farms, in order.</summary>
    public async Task<IReadOnlyList<string>> FarmsAsync(CancellationToken cancellationToken)
    {
        return await source
            .Command(
                "select farm from journal.stream where stream = $1 order by farm collate \"C\"",
                JournalReader.ConfigurationStream
            )
            .ListAsync(row => row.GetString(0), cancellationToken);
    }

    /// <summary>
    /// A farm's configuration, now or as of a journal position. For an unknown farm it is empty, with version 0.
    /// </summary>
    public async Task<ConfigurationSnapshot> ReadAsync(string farmId, long? asOf, CancellationToken cancellationToken)
    {
        var newest = await NewestAsync(farmId, cancellationToken);
        return asOf is { } position ? AsOf(newest, position) : newest;
    }

    /// <summary>A farm's newest configuration, from the one that is known and what was recorded since.</summary>
    private async Task<ConfigurationSnapshot> NewestAsync(string farmId, CancellationToken cancellationToken)
    {
        var known = cache.Newest(farmId);
        var events = new List<RecordedEvent>();
        await foreach (var row in journal.ConfigurationEventsAfterAsync(farmId, known.Version, cancellationToken))
            events.Add(new(row.Position, known.Version + events.Count + 1, row.RecordedAt, row.Event));
        return events.Count == 0 ? known : cache.Add(farmId, events);
    }

    private static ConfigurationSnapshot AsOf(ConfigurationSnapshot snapshot, long position)
    {
        if (snapshot.Events is [] || snapshot.Events[^1].Position <= position)
            return snapshot;
        RecordedEvent[] events = [.. snapshot.Events.TakeWhile(it => it.Position <= position)];
        var configuration = events.Aggregate(FarmConfiguration.Empty, (before, it) => before.With(it.Event));
        return new(snapshot.FarmId, configuration, events.Length, events);
    }

    /// <summary>
    /// Appends events after <paramref name="expectedVersion"/>. Throws <see cref="ConfigurationConflictException"/> if
    /// the stream has moved on.
    /// </summary>
    public async Task RecordAsync(
        string farmId,
        long expectedVersion,
        IReadOnlyList<IJournalEvent> events,
        CancellationToken cancellationToken
    )
    {
        if (events.Count == 0)
            return;
        await using var connection = await source.OpenConnectionAsync(cancellationToken);
        await using var transaction = await connection.BeginTransactionAsync(cancellationToken);
        await connection.LockAsync(AdvisoryLock.FarmJournal(farmId), cancellationToken);
        var stream = new FarmStream(farmId, JournalReader.ConfigurationStream);
        var append = await HeadAsync(connection, stream, cancellationToken);
        if (append.VersionOf(stream) is var version && version != expectedVersion)
            throw new ConfigurationConflictException(
                $"The configuration of {farmId} is at version {version}, not {expectedVersion}: someone else changed it. Read it again and repeat your change."
            );
        var now = time.GetUtcNow();
        foreach (var (i, @event) in events.Index())
        {
            var id = EventIds.OfConfigurationEvent(farmId, expectedVersion + i + 1, @event);
            append.Add(farmId, new(stream.StreamKey, id, @event), now);
        }
        await using var writes = new NpgsqlBatch(connection);
        foreach (var command in append.Commands())
            writes.BatchCommands.Add(command);
        await writes.ExecuteNonQueryAsync(cancellationToken);
        await transaction.CommitAsync(cancellationToken);
    }

    private static async Task<EventAppend> HeadAsync(
        NpgsqlConnection connection,
        FarmStream stream,
        CancellationToken cancellationToken
    )
    {
        var append = new EventAppend();
        await using var reads = new NpgsqlBatch(connection) { BatchCommands = { EventAppend.ReadHeads([stream]) } };
        await using var rows = await reads.ExecuteReaderAsync(cancellationToken);
        while (await rows.ReadAsync(cancellationToken))
            append.AddHead(rows);
        return append;
    }
}
