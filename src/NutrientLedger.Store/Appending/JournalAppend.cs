using JasperFx.Events;
using Marten;
using Marten.Services;
using Npgsql;
using NutrientLedger.Journal;

namespace NutrientLedger.Store;

/// <summary>An entry on its way into a stream of a farm, with the id that follows from what it says.</summary>
internal sealed record JournalEntry(string StreamKey, Guid Id, IEntry Entry);

/// <summary>
/// Appends entries of one farm inside a transaction of the caller's, each sealed to the one before it in its stream. The farm's
/// lock makes it the only writer, whichever process it is in, until the transaction ends.
/// </summary>
internal sealed class JournalAppend(IDocumentStore store)
{
    /// <summary>Waits for the farm's turn; it is given back when the transaction ends.</summary>
    public static Task LockAsync(NpgsqlConnection connection, string farmId, CancellationToken cancellationToken) =>
        connection.RunAsync(
            "select pg_advisory_xact_lock(hashtext('journal'), hashtext($1))",
            cancellationToken,
            farmId
        );

    /// <summary>Appends the entries in order.</summary>
    public async Task AppendAsync(
        NpgsqlTransaction transaction,
        string farmId,
        IReadOnlyList<JournalEntry> entries,
        CancellationToken cancellationToken
    )
    {
        var options = SessionOptions.ForTransaction(transaction, shouldAutoCommit: false);
        options.TenantId = farmId;
        await using var session = store.LightweightSession(options);
        var links = await LinksAsync(
            transaction.Connection!,
            farmId,
            [.. entries.Select(entry => entry.StreamKey).Distinct()],
            cancellationToken
        );
        foreach (var stream in entries.GroupBy(entry => entry.StreamKey))
        {
            var link = links[stream.Key];
            var events = new List<IEvent>();
            foreach (var (_, id, entry) in stream)
            {
                link = HashChain.Next(link, entry);
                var sealed_ = session.Events.BuildEvent(entry);
                sealed_.Id = id;
                sealed_.SetHeader(HashChain.HeaderName, link);
                events.Add(sealed_);
            }
            session.Events.Append(stream.Key, events);
        }
        await session.SaveChangesAsync(cancellationToken);
    }

    /// <summary>The last seal of each stream, or the seal from which a new one starts.</summary>
    private static async Task<Dictionary<string, string>> LinksAsync(
        NpgsqlConnection connection,
        string farmId,
        string[] streamKeys,
        CancellationToken cancellationToken
    )
    {
        var links = streamKeys.ToDictionary(key => key, key => HashChain.Start(farmId, key));
        await using var command = connection.Command(
            """
            select last.stream_id, last.headers ->> $3 from unnest($2) as wanted (key) cross join lateral (
                select stream_id, headers from journal.mt_events where tenant_id = $1 and stream_id = wanted.key
                order by version desc limit 1) as last
            """,
            farmId,
            streamKeys,
            HashChain.HeaderName
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        while (await rows.ReadAsync(cancellationToken))
            links[rows.GetString(0)] = rows.GetString(1);
        return links;
    }
}
