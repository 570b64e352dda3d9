using JasperFx.Events;
using Marten;
using Marten.Services;
using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.Events;

/// <summary>An event to be appended to a stream of a farm, with the id derived from its content.</summary>
internal sealed record NewEvent(string StreamKey, Guid Id, IJournalEvent Event);

/// <summary>
/// Appends events of one farm inside the caller's transaction. Each is chained to the one before it in its stream. The
/// farm's lock makes it the only writer over all processes until the transaction ends.
/// </summary>
internal sealed class HashChainAppender(IDocumentStore store)
{
    /// <summary>Waits for the farm's lock. It is released when the transaction ends.</summary>
    public static Task LockFarmAsync(NpgsqlConnection connection, string farmId, CancellationToken cancellationToken) =>
        connection.LockAsync(AdvisoryLock.FarmJournal(farmId), cancellationToken);

    /// <summary>Appends the events in order.</summary>
    public async Task AppendAsync(
        NpgsqlTransaction transaction,
        string farmId,
        IReadOnlyList<NewEvent> newEvents,
        CancellationToken cancellationToken
    )
    {
        var options = SessionOptions.ForTransaction(transaction, shouldAutoCommit: false);
        options.TenantId = farmId;
        await using var session = store.LightweightSession(options);
        var hashes = await LastHashesAsync(
            transaction.Connection!,
            farmId,
            [.. newEvents.Select(@event => @event.StreamKey).Distinct()],
            cancellationToken
        );
        foreach (var stream in newEvents.GroupBy(@event => @event.StreamKey))
        {
            var hash = hashes[stream.Key];
            var events = new List<IEvent>();
            foreach (var (_, id, @event) in stream)
            {
                hash = HashChain.Next(hash, @event);
                var martenEvent = session.Events.BuildEvent(@event);
                martenEvent.Id = id;
                martenEvent.SetHeader(HashChain.HeaderName, hash);
                events.Add(martenEvent);
            }
            session.Events.Append(stream.Key, events);
        }
        await session.SaveChangesAsync(cancellationToken);
    }

    /// <summary>The last chain hash of each stream, or the hash from which a new one starts.</summary>
    private static async Task<Dictionary<string, string>> LastHashesAsync(
        NpgsqlConnection connection,
        string farmId,
        string[] streamKeys,
        CancellationToken cancellationToken
    )
    {
        var hashes = streamKeys.ToDictionary(key => key, key => HashChain.Start(farmId, key));
        await using var command = connection.Command(
            """
            select last.stream, last.chain_hash from unnest($2) as wanted (stream) cross join lateral (
                select stream, chain_hash from journal.event where farm = $1 and stream = wanted.stream
                order by version desc limit 1) as last
            """,
            farmId,
            streamKeys
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        while (await rows.ReadAsync(cancellationToken))
            hashes[rows.GetString(0)] = rows.GetString(1);
        return hashes;
    }
}
