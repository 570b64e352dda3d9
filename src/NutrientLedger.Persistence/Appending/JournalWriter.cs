using Npgsql;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.DeadLetters;
using NutrientLedger.Persistence.Gaps;
using NutrientLedger.Persistence.Hubs;
using NutrientLedger.Persistence.Messages;
using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Persistence.Appending;

/// <summary>
/// Appends telemetry: received ranges, events, rejected messages and device counts in one transaction.
/// </summary>
internal sealed class JournalWriter(
    NpgsqlDataSource source,
    HubIdentity self,
    ConfigurationCache configurations,
    DeadLetterLimits limits,
    GapReporter gaps,
    TimeProvider time
) : IJournal, IDisposable
{
    private readonly SemaphoreSlim gate = new(1);
    private readonly DeadLetterWriter deadLetters = new(limits);
    private readonly WaitingMessageWriter waitingMessages = new(limits);

    public async Task<IReadOnlyList<AppendResult>> AppendAsync(
        IReadOnlyList<DecodedMessage> arrived,
        IReadOnlyList<RejectedMessage> rejected,
        CancellationToken cancellationToken
    )
    {
        await gate.WaitAsync(cancellationToken);
        try
        {
            await using var connection = await source.OpenConnectionAsync(cancellationToken);
            await using var transaction = await connection.BeginTransactionAsync(cancellationToken);
            var results = new AppendResult[arrived.Count];
            var unregistered = new List<int>();
            var changes = new List<GapChange>();
            if (arrived.Count > 0)
                await AppendAsync(connection, arrived, results, unregistered, changes, cancellationToken);
            else
                await HubRows.RequireAsync(connection, self, cancellationToken);
            await RejectAsync(connection, arrived, results, rejected, unregistered, cancellationToken);
            await transaction.CommitAsync(cancellationToken);
            gaps.Report(changes, time.GetUtcNow());
            return results;
        }
        finally
        {
            gate.Release();
        }
    }

    public Task<IReadOnlyList<AcknowledgementWatermark>> WatermarksAsync(
        IReadOnlyCollection<FarmDevice> devices,
        CancellationToken cancellationToken
    ) => ReceivedRangeRows.WatermarksAsync(source, devices, cancellationToken);

    public void Dispose() => gate.Dispose();

    /// <summary>
    /// Keeps rejected messages, and sound ones of farms that are not registered as far as their limits allow. A message
    /// that was retried is in the list already; its result is noted there.
    /// </summary>
    private async Task RejectAsync(
        NpgsqlConnection connection,
        IReadOnlyList<DecodedMessage> arrived,
        AppendResult[] results,
        IReadOnlyList<RejectedMessage> rejected,
        List<int> unregistered,
        CancellationToken cancellationToken
    )
    {
        var now = time.GetUtcNow();
        var messages = rejected.ToList();
        unregistered.RemoveAll(i => arrived[i].RetryOf is not null);
        foreach (var (i, result) in results.Index())
            if (arrived[i].RetryOf is { } id)
                await DeadLetterWriter.RetriedAsync(connection, id, result, now, cancellationToken);
            else if (result is AppendResult.Rejected && !unregistered.Contains(i))
                messages.Add(Rejected(i));
        await deadLetters.AddAsync(connection, messages, now, cancellationToken);
        unregistered.Sort();
        var kept = await waitingMessages.AddAsync(
            connection,
            [.. unregistered.Select(Rejected)],
            now,
            cancellationToken
        );
        foreach (var (i, result) in unregistered.Zip(kept))
            results[i] = result;

        RejectedMessage Rejected(int i) =>
            new(
                arrived[i].Topic,
                arrived[i].Payload,
                ((AppendResult.Rejected)results[i]).Reason,
                arrived[i].ContentType
            );
    }

    /// <summary>
    /// Appends the messages of all farms in two round trips: everything is locked and read, then everything is written.
    /// </summary>
    private async Task AppendAsync(
        NpgsqlConnection connection,
        IReadOnlyList<DecodedMessage> arrived,
        AppendResult[] results,
        List<int> unregistered,
        List<GapChange> changes,
        CancellationToken cancellationToken
    )
    {
        var devices = Enumerable.Range(0, arrived.Count).ToLookup(i => DeviceAppend.KeyOf(arrived[i]));
        var state = new AppendState(configurations, self);
        await state.ReadAsync(
            connection,
            [.. devices.SelectMany(device => Boots(device, arrived)).Distinct()],
            time.GetUtcNow(),
            cancellationToken
        );
        // The day of recording is that of a moment under the lock.
        var now = time.GetUtcNow();
        await state.ReadHeadsAsync(connection, [.. devices.Select(device => device.Key)], now, cancellationToken);
        var appended = new List<(SequenceKey Key, DeviceAppendResult Result)>();
        // Boots of a device follow each other in its stream as they did in time.
        foreach (var device in devices.OrderBy(d => d.Key.FarmId, StringComparer.Ordinal).ThenBy(d => d.Key.Boot))
        {
            int[] own = [.. device];
            if (state.ConfigurationOf(device.Key.FarmId) is not { } configuration)
            {
                foreach (var i in own)
                    results[i] = new AppendResult.Rejected(
                        $"The farm \"{device.Key.FarmId}\" is not registered. Import its farm file, then retry the message."
                    );
                unregistered.AddRange(own);
                continue;
            }
            var result = DeviceAppend.Append(
                device.Key,
                state.Received(device.Key),
                Array.ConvertAll(own, i => arrived[i]),
                configuration,
                now
            );
            for (var i = 0; i < own.Length; i++)
                results[own[i]] = result.Results[i];
            state.Append(device.Key, result, now);
            appended.Add((device.Key, result));
        }
        foreach (var (key, lastSeq) in Announced(arrived, results))
            state.Announce(key, lastSeq, now);
        if (appended.Count == 0)
            return;
        await using var writes = new NpgsqlBatch(connection) { BatchCommands = { DeviceRows.Upsert(appended, now) } };
        foreach (var command in state.Commands())
            writes.BatchCommands.Add(command);
        await writes.ExecuteNonQueryAsync(cancellationToken);
        changes.AddRange(state.GapChanges());
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
        IReadOnlyList<DecodedMessage> arrived,
        AppendResult[] results
    )
    {
        for (var i = 0; i < results.Length; i++)
            if (results[i] is AppendResult.Stored && arrived[i].PreviousBoot is { } last)
            {
                var key = DeviceAppend.KeyOf(arrived[i]);
                if (last.Boot < key.Boot)
                    yield return (key with { Boot = last.Boot }, last.LastSeq);
            }
    }
}
