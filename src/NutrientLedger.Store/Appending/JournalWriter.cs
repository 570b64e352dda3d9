using Marten;
using Npgsql;

namespace NutrientLedger.Store;

/// <summary>Appends telemetry: seen rows, entries, refused messages and device counts in one transaction.</summary>
public sealed class JournalWriter(
    NpgsqlDataSource source,
    IDocumentStore store,
    RefusedLimits limits,
    GapTelling gaps,
    RightOfWay way,
    TimeProvider time
) : IJournal, IDisposable
{
    private readonly SemaphoreSlim turn = new(1);
    private readonly JournalAppend append = new(store);
    private readonly RefusedRows refusedRows = new(limits);
    private readonly FarmRegisters registers = new(new(source));

    public async Task<IReadOnlyList<AppendFate>> AppendAsync(
        IReadOnlyList<ArrivedPack> arrived,
        IReadOnlyList<RefusedMessage> refused,
        CancellationToken cancellationToken
    )
    {
        await turn.WaitAsync(cancellationToken);
        way.AppendBegins();
        var stored = false;
        try
        {
            await using var connection = await source.OpenConnectionAsync(cancellationToken);
            await using var transaction = await connection.BeginTransactionAsync(cancellationToken);
            var fates = new AppendFate[arrived.Count];
            var changes = new List<GapChange>();
            var indexes = Enumerable.Range(0, arrived.Count).GroupBy(i => arrived[i].FarmId);
            // Farms are taken in one order by everybody, so that two hubs never wait for each other in a circle.
            foreach (var farm in indexes.OrderBy(farm => farm.Key, StringComparer.Ordinal))
                await AppendFarmAsync(transaction, farm.Key, [.. farm], arrived, fates, changes, cancellationToken);
            await RefuseAsync(connection, arrived, fates, refused, cancellationToken);
            await transaction.CommitAsync(cancellationToken);
            stored = fates.Any(fate => fate is AppendFate.Stored);
            gaps.Tell(changes, time.GetUtcNow());
            return fates;
        }
        finally
        {
            way.AppendEnds(stored);
            turn.Release();
        }
    }

    public Task<IReadOnlyList<StoredMark>> MarksAsync(
        IReadOnlyCollection<FarmDevice> devices,
        CancellationToken cancellationToken
    ) => StoredMark.ReadAsync(source, devices, cancellationToken);

    public void Dispose() => turn.Dispose();

    /// <summary>Keeps what was refused; a message that was offered again is in the list already and is told how it went.</summary>
    private async Task RefuseAsync(
        NpgsqlConnection connection,
        IReadOnlyList<ArrivedPack> arrived,
        AppendFate[] fates,
        IReadOnlyList<RefusedMessage> refused,
        CancellationToken cancellationToken
    )
    {
        var now = time.GetUtcNow();
        var messages = refused.ToList();
        foreach (var (pack, fate) in arrived.Zip(fates))
            if (pack.OfferedAs is { } id)
                await RefusedRows.OfferedAsync(connection, id, fate, now, cancellationToken);
            else if (fate is AppendFate.Refused { Reason: var reason })
                messages.Add(new(pack.Topic, pack.Payload, reason, pack.ContentType));
        await refusedRows.AddAsync(connection, messages, now, cancellationToken);
    }

    private async Task AppendFarmAsync(
        NpgsqlTransaction transaction,
        string farmId,
        int[] indexes,
        IReadOnlyList<ArrivedPack> arrived,
        AppendFate[] fates,
        List<GapChange> changes,
        CancellationToken cancellationToken
    )
    {
        var connection = transaction.Connection!;
        var register = await registers.NewestAsync(farmId, cancellationToken);
        if (register.Farm is null)
        {
            foreach (var i in indexes)
                fates[i] = new AppendFate.Refused(
                    $"The farm \"{farmId}\" is not registered. Import its farm file, then offer the message again."
                );
            return;
        }
        await JournalAppend.LockAsync(connection, farmId, cancellationToken);
        var now = time.GetUtcNow();
        var entries = new List<JournalEntry>();
        var senders = indexes.ToLookup(i => SenderBatch.KeyOf(arrived[i]));
        var seen = await SeenRows.ReadAsync(
            connection,
            farmId,
            [.. senders.SelectMany(sender => Boots(sender, arrived)).Distinct()],
            cancellationToken
        );
        var later = new Dictionary<SeenKey, SeenRow>(seen);
        await using var writes = new NpgsqlBatch(connection);
        // Boots of a sender follow each other in its stream as they did in time.
        foreach (var sender in senders.OrderBy(sender => sender.Key.Boot))
        {
            int[] own = [.. sender];
            var outcome = SenderBatch.Take(
                sender.Key,
                seen[sender.Key],
                Array.ConvertAll(own, i => arrived[i]),
                register,
                now
            );
            for (var i = 0; i < own.Length; i++)
                fates[own[i]] = outcome.Fates[i];
            entries.AddRange(outcome.Entries);
            later[sender.Key] = outcome.Seen;
            writes.BatchCommands.Add(DeviceRows.Count(sender.Key, outcome, now));
        }
        foreach (var (key, lastSeq) in Announced(indexes, arrived, fates))
            later[key] = later[key].Announcing(lastSeq, now);
        foreach (var (key, row) in later)
        {
            if (ReferenceEquals(row, seen[key]))
                continue;
            writes.BatchCommands.Add(SeenRows.Write(key, row));
            changes.Add(GapChange.Between(key, seen[key], row));
        }
        await writes.ExecuteNonQueryAsync(cancellationToken);
        if (entries.Count > 0)
            await append.AppendAsync(transaction, farmId, entries, cancellationToken);
    }

    /// <summary>The boot of a sender's messages and the earlier ones that they tell about.</summary>
    private static IEnumerable<SeenKey> Boots(IGrouping<SeenKey, int> sender, IReadOnlyList<ArrivedPack> arrived) =>
        sender
            .Select(i => arrived[i].Former)
            .OfType<LastOfBoot>()
            .Select(last => sender.Key with { Boot = last.Boot })
            .Prepend(sender.Key);

    /// <summary>What stored messages tell about earlier boots of their senders; a boot cannot tell of one that comes after it.</summary>
    private static IEnumerable<(SeenKey Key, long LastSeq)> Announced(
        int[] indexes,
        IReadOnlyList<ArrivedPack> arrived,
        AppendFate[] fates
    )
    {
        foreach (var i in indexes)
            if (fates[i] is AppendFate.Stored && arrived[i].Former is { } last)
            {
                var key = SenderBatch.KeyOf(arrived[i]);
                if (last.Boot < key.Boot)
                    yield return (key with { Boot = last.Boot }, last.LastSeq);
            }
    }
}
