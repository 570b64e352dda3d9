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
            var changes = new List<GapChange>();
            if (arrived.Count > 0)
                await AppendAsync(connection, arrived, results, changes, cancellationToken);
            else
                await HubRows.RequireAsync(connection, self, cancellationToken);
            await RejectAsync(connection, arrived, results, rejected, cancellationToken);
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
    ) =>
        WatermarkRows.ReadAsync(
            source,
            [
                .. devices.Select(device =>
                    (device, configurations.Newest(device.FarmId).Configuration.FirstBoot(device.EquipmentId))
                ),
            ],
            cancellationToken
        );

    public void Dispose() => gate.Dispose();

    /// <summary>
    /// Keeps rejected messages, and sound ones that wait for something as far as their limits allow. A message that was
    /// retried is in the list already; its result is noted there.
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
        var waiting = new List<(int Index, WaitingFor What)>();
        foreach (var (i, result) in results.Index())
            if (arrived[i].RetryOf is { } id)
                await DeadLetterWriter.RetriedAsync(connection, id, result, now, cancellationToken);
            else if (result is AppendResult.Rejected { WaitsFor: { } what })
                waiting.Add((i, what));
            else if (result is AppendResult.Rejected)
                messages.Add(Rejected(i));
        await deadLetters.AddAsync(connection, messages, now, cancellationToken);
        var kept = await waitingMessages.AddAsync(
            connection,
            [.. waiting.Select(one => (Rejected(one.Index), one.What))],
            now,
            cancellationToken
        );
        foreach (var (one, result) in waiting.Zip(kept))
            results[one.Index] = result;

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
    /// Numbers that are known already take one more in between: see <see cref="KnownReadings"/>.
    /// </summary>
    private async Task AppendAsync(
        NpgsqlConnection connection,
        IReadOnlyList<DecodedMessage> messages,
        AppendResult[] results,
        List<GapChange> changes,
        CancellationToken cancellationToken
    )
    {
        var state = new AppendState(configurations, self);
        var arrived = await state.ReadAsync(connection, messages, time.GetUtcNow(), cancellationToken);
        var known = await ReadKnownAsync(connection, state, arrived, results, cancellationToken);
        var devices = Enumerable
            .Range(0, arrived.Length)
            .Where(i => results[i] is null)
            .ToLookup(i => DeviceAppend.KeyOf(arrived[i]));
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
                        $"The farm \"{device.Key.FarmId}\" is not registered. Import its farm file, then retry the message.",
                        WaitingFor.Farm
                    );
                continue;
            }
            var result = DeviceAppend.Append(
                device.Key,
                state.Received(device.Key),
                Array.ConvertAll(own, i => arrived[i]),
                configuration,
                now,
                known,
                state.IsUndecided(device.Key)
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

    /// <summary>
    /// Reads the stored readings under numbers that arrived again. Messages beyond the limit are not committed.
    /// </summary>
    private static async Task<KnownReadings> ReadKnownAsync(
        NpgsqlConnection connection,
        AppendState state,
        DecodedMessage[] arrived,
        AppendResult[] results,
        CancellationToken cancellationToken
    )
    {
        var numbers = new List<(SequenceKey Key, long FirstSeq, long LastSeq)>();
        var compared = 0L;
        for (var i = 0; i < arrived.Length; i++)
        {
            var (first, last) = DeviceAppend.NumbersOf(arrived[i]);
            SequenceKey[] overlapping =
            [
                .. state.KeysOf(arrived[i]).Where(one => state.Received(one).Overlaps(first, last)),
            ];
            if (overlapping.Length > 0 && (compared += last - first + 1) > KnownReadings.ReadingsMax)
                results[i] = new AppendResult.NotCommitted(
                    $"More than {KnownReadings.ReadingsMax} readings came again at once. Send this message again."
                );
            else
                numbers.AddRange(overlapping.Select(one => (one, first, last)));
        }
        var known = new KnownReadings();
        await known.ReadAsync(connection, numbers, cancellationToken);
        return known;
    }

    /// <summary>
    /// What stored messages report on earlier boots of their devices. A boot cannot report on a later one.
    /// </summary>
    private static IEnumerable<(SequenceKey Key, long LastSeq)> Announced(
        DecodedMessage[] arrived,
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
