using Marten;
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
public sealed class ConfigurationStore(NpgsqlDataSource source, IDocumentStore store)
{
    private readonly JournalReader journal = new(source);
    private readonly HashChainAppender append = new(store);

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
        var configuration = FarmConfiguration.Empty;
        var events = new List<RecordedEvent>();
        await foreach (var row in journal.ConfigurationEventsAsync(farmId, 0, asOf ?? long.MaxValue, cancellationToken))
        {
            configuration = configuration.With(row.Event);
            events.Add(new(row.Position, events.Count + 1, row.RecordedAt, row.Event));
        }
        return new(farmId, configuration, events.Count, events);
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
        await HashChainAppender.LockFarmAsync(connection, farmId, cancellationToken);
        if (await VersionAsync(connection, farmId, cancellationToken) is var version && version != expectedVersion)
            throw new ConfigurationConflictException(
                $"The configuration of {farmId} is at version {version}, not {expectedVersion}: someone else changed it. Read it again and repeat your change."
            );
        var newEvents = events.Select(
            (@event, i) =>
                new NewEvent(
                    JournalReader.ConfigurationStream,
                    EventIds.OfConfigurationEvent(farmId, expectedVersion + i + 1, @event),
                    @event
                )
        );
        await append.AppendAsync(transaction, farmId, [.. newEvents], cancellationToken);
        await transaction.CommitAsync(cancellationToken);
    }

    private static async Task<long> VersionAsync(
        NpgsqlConnection connection,
        string farmId,
        CancellationToken cancellationToken
    )
    {
        await using var command = connection.Command(
            "select count(*) from journal.event where farm = $1 and stream = $2",
            farmId,
            JournalReader.ConfigurationStream
        );
        return (long)(await command.ExecuteScalarAsync(cancellationToken))!;
    }
}
