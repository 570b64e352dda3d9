using Marten;
using Npgsql;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.DeadLetters;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.Gaps;
using NutrientLedger.Persistence.Messages;
using NutrientLedger.Persistence.ReceivedRanges;
using NutrientLedger.Persistence.Scheduling;

namespace NutrientLedger.Persistence.Appending;

/// <summary>
/// Appends telemetry: received ranges, events, rejected messages and device counts in one transaction.
/// </summary>
internal sealed class JournalWriter(
    NpgsqlDataSource source,
    IDocumentStore store,
    DeadLetterLimits limits,
    GapReporter gaps,
    RightOfWay way,
    TimeProvider time
) : IJournal, IDisposable
{
    private readonly SemaphoreSlim gate = new(1);
    private readonly HashChainAppender append = new(store);
    private readonly DeadLetterWriter deadLetters = new(limits);
    private readonly ConfigurationCache configurations = new(new(source));

    public async Task<IReadOnlyList<AppendResult>> AppendAsync(
        IReadOnlyList<DecodedMessage> arrived,
        IReadOnlyList<RejectedMessage> rejected,
        CancellationToken cancellationToken
    )
    {
        await gate.WaitAsync(cancellationToken);
        way.AppendBegins();
        var stored = false;
        try
        {
            await using var connection = await source.OpenConnectionAsync(cancellationToken);
            await using var transaction = await connection.BeginTransactionAsync(cancellationToken);
            var results = new AppendResult[arrived.Count];
            var changes = new List<GapChange>();
            var indexes = Enumerable.Range(0, arrived.Count).GroupBy(i => arrived[i].FarmId);
            // All hubs take farms in one order, so that two of them cannot deadlock.
            foreach (var farm in indexes.OrderBy(farm => farm.Key, StringComparer.Ordinal))
                await AppendFarmAsync(transaction, farm.Key, [.. farm], arrived, results, changes, cancellationToken);
            await RejectAsync(connection, arrived, results, rejected, cancellationToken);
            await transaction.CommitAsync(cancellationToken);
            stored = results.Any(result => result is AppendResult.Stored);
            gaps.Report(changes, time.GetUtcNow());
            return results;
        }
        finally
        {
            way.AppendEnds(stored);
            gate.Release();
        }
    }

    public Task<IReadOnlyList<AcknowledgementWatermark>> WatermarksAsync(
        IReadOnlyCollection<FarmDevice> devices,
        CancellationToken cancellationToken
    ) => ReceivedRangeRows.WatermarksAsync(source, devices, cancellationToken);

    public void Dispose() => gate.Dispose();

    /// <summary>
    /// Keeps rejected messages. A message that was retried is in the list already; its result is noted there.
    /// </summary>
    private async Task RejectAsync(
        NpgsqlConnection connection,
        IReadOnlyList<DecodedMessage> arrived,
        AppendResult[] results,
        IReadOnlyList<RejectedMessage> rejected,
        CancellationToken cancellationToken
    )
    {
        var now = time.GetUtcNow();
        var messages = rejected.ToList();
        foreach (var (message, result) in arrived.Zip(results))
            if (message.RetryOf is { } id)
                await DeadLetterWriter.RetriedAsync(connection, id, result, now, cancellationToken);
            else if (result is AppendResult.Rejected { Reason: var reason })
                messages.Add(new(message.Topic, message.Payload, reason, message.ContentType));
        await deadLetters.AddAsync(connection, messages, now, cancellationToken);
    }

    private async Task AppendFarmAsync(
        NpgsqlTransaction transaction,
        string farmId,
        int[] indexes,
        IReadOnlyList<DecodedMessage> arrived,
        AppendResult[] results,
        List<GapChange> changes,
        CancellationToken cancellationToken
    )
    {
        var connection = transaction.Connection!;
        var configuration = await configurations.NewestAsync(farmId, cancellationToken);
        if (configuration.Farm is null)
        {
            foreach (var i in indexes)
                results[i] = new AppendResult.Rejected(
                    $"The farm \"{farmId}\" is not registered. Import its farm file, then retry the message."
                );
            return;
        }
        await HashChainAppender.LockFarmAsync(connection, farmId, cancellationToken);
        var now = time.GetUtcNow();
        var events = new List<NewEvent>();
        var devices = indexes.ToLookup(i => DeviceAppend.KeyOf(arrived[i]));
        var received = await ReceivedRangeRows.ReadAsync(
            connection,
            farmId,
            [.. devices.SelectMany(device => Boots(device, arrived)).Distinct()],
            cancellationToken
        );
        var later = new Dictionary<SequenceKey, ReceivedRangeRow>(received);
        await using var writes = new NpgsqlBatch(connection);
        // Boots of a device follow each other in its stream as they did in time.
        foreach (var device in devices.OrderBy(device => device.Key.Boot))
        {
            int[] own = [.. device];
            var outcome = DeviceAppend.Append(
                device.Key,
                received[device.Key],
                Array.ConvertAll(own, i => arrived[i]),
                configuration,
                now
            );
            for (var i = 0; i < own.Length; i++)
                results[own[i]] = outcome.Results[i];
            events.AddRange(outcome.Events);
            later[device.Key] = outcome.Received;
            writes.BatchCommands.Add(DeviceRows.Upsert(device.Key, outcome, now));
        }
        foreach (var (key, lastSeq) in Announced(indexes, arrived, results))
            later[key] = later[key].Announce(lastSeq, now);
        foreach (var (key, row) in later)
        {
            if (ReferenceEquals(row, received[key]))
                continue;
            writes.BatchCommands.Add(ReceivedRangeRows.Write(key, row));
            changes.Add(GapChange.Between(key, received[key], row));
        }
        await writes.ExecuteNonQueryAsync(cancellationToken);
        if (events.Count > 0)
            await append.AppendAsync(transaction, farmId, events, cancellationToken);
    }

    /// <summary>The boot of a device's messages and the earlier ones that they report on.</summary>
    private static IEnumerable<SequenceKey> Boots(
        IGrouping<SequenceKey, int> device,
        IReadOnlyList<DecodedMessage> arrived
    ) =>
        device
            .Select(i => arrived[i].PreviousBoot)
            .OfType<BootEnd>()
            .Select(last => device.Key with { Boot = last.Boot })
            .Prepend(device.Key);

    /// <summary>
    /// What stored messages report on earlier boots of their devices. A boot cannot report on a later one.
    /// </summary>
    private static IEnumerable<(SequenceKey Key, long LastSeq)> Announced(
        int[] indexes,
        IReadOnlyList<DecodedMessage> arrived,
        AppendResult[] results
    )
    {
        foreach (var i in indexes)
            if (results[i] is AppendResult.Stored && arrived[i].PreviousBoot is { } last)
            {
                var key = DeviceAppend.KeyOf(arrived[i]);
                if (last.Boot < key.Boot)
                    yield return (key with { Boot = last.Boot }, last.LastSeq);
            }
    }
}
