using Npgsql;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.Messages;

namespace NutrientLedger.Persistence.DeadLetters;

/// <summary>
/// Keeps rejected messages inside the transaction of an append. Each is kept once, and no more than the limits allow.
/// </summary>
internal sealed class DeadLetterWriter(DeadLetterLimits limits)
{
    private const string OverDeviceLimit = "device";
    private const string OverFarmLimit = "farm";

    /// <summary>
    /// Adds new messages and counts known ones. What is beyond a limit is counted without being kept.
    /// </summary>
    public async Task AddAsync(
        NpgsqlConnection connection,
        IReadOnlyList<RejectedMessage> messages,
        DateTimeOffset now,
        CancellationToken cancellationToken
    )
    {
        if (messages.Count == 0)
            return;
        // One writer at a time. Two hubs can then neither pass a limit together nor deadlock.
        await connection.LockAsync(AdvisoryLock.DeadLetters, cancellationToken);
        var arrived = messages
            .GroupBy(NewDeadLetter.FingerprintOf)
            .ToDictionary(same => same.Key, same => (same.Last(), same.Count()));
        foreach (var known in await CountRepeatedAsync(connection, arrived, now, cancellationToken))
            arrived.Remove(known);
        var farms = await KnownFarmsAsync(connection, arrived.Values.Select(one => one.Item1), cancellationToken);
        var added = arrived.Select(one => new NewDeadLetter(
            one.Key,
            one.Value.Item1,
            one.Value.Item2,
            NewDeadLetter.TopicPartsOf(one.Value.Item1.Topic).Farm is { } farm && farms.Contains(farm) ? farm : ""
        ));
        foreach (var quota in added.GroupBy(one => one.Quota))
        {
            var open = await DeadLetterRows.CountOpenAsync(connection, quota.Key, null, cancellationToken);
            var farmRoom = limits.OpenPerFarmMax - open;
            foreach (var device in quota.GroupBy(one => one.Device))
            {
                open = await DeadLetterRows.CountOpenAsync(connection, quota.Key, device.Key, cancellationToken);
                var deviceRoom = limits.OpenPerDeviceMax - open;
                var room = Math.Max(0, Math.Min(farmRoom, deviceRoom));
                NewDeadLetter[] within = [.. device.Take(room)];
                NewDeadLetter[] over = [.. device.Skip(room)];
                await DeadLetterRows.InsertAsync(connection, within, overLimit: null, now, cancellationToken);
                if (over.Length > 0)
                    await KeepNewestAsync(connection, over, deviceRoom <= farmRoom, now, cancellationToken);
                farmRoom -= within.Length;
            }
        }
    }

    /// <summary>
    /// Notes the result of a retry. A stored message is closed; a rejected one stays open with the new reason.
    /// </summary>
    public static Task RetriedAsync(
        NpgsqlConnection connection,
        long id,
        AppendResult result,
        DateTimeOffset now,
        CancellationToken cancellationToken
    ) =>
        result is AppendResult.Stored or AppendResult.Rejected
            ? DeadLetterListRows.RetriedAsync(
                connection,
                id,
                (result as AppendResult.Rejected)?.Reason,
                (result as AppendResult.Rejected)?.WaitsFor is { } what ? NewDeadLetter.QuotaOf(what) : null,
                now,
                cancellationToken
            )
            : Task.CompletedTask;

    private async Task KeepNewestAsync(
        NpgsqlConnection connection,
        NewDeadLetter[] over,
        bool ofDevice,
        DateTimeOffset now,
        CancellationToken cancellationToken
    )
    {
        NewDeadLetter[] newest = [.. over.TakeLast(limits.NewestKeptMax)];
        NewDeadLetter[] passedOver = [.. over.SkipLast(limits.NewestKeptMax)];
        var (quota, device) = (over[0].Quota, ofDevice ? over[0].Device : null);
        var overLimit = ofDevice ? OverDeviceLimit : OverFarmLimit;
        await DeadLetterRows.InsertAsync(connection, newest, overLimit, now, cancellationToken);
        var dropped = await DeadLetterRows.DropOldestOverLimitAsync(
            connection,
            quota,
            device,
            overLimit,
            limits.NewestKeptMax,
            cancellationToken
        );
        var overflow = new DeadLetterOverflow(
            quota,
            device ?? "",
            dropped.Messages + passedOver.Sum(one => (long)one.Occurrences),
            dropped.Bytes + passedOver.Sum(one => (long)one.Message.Payload.Length),
            dropped.FirstAt ?? now,
            now,
            ofDevice
                ? $"{limits.OpenPerDeviceMax} messages of this device are open"
                : $"{limits.OpenPerFarmMax} messages are open already"
        );
        if (overflow.Messages > 0)
            await DeadLetterOverflowRows.AddAsync(connection, overflow, cancellationToken);
    }

    private static Task<List<string>> CountRepeatedAsync(
        NpgsqlConnection connection,
        Dictionary<string, (RejectedMessage Message, int Times)> arrived,
        DateTimeOffset now,
        CancellationToken cancellationToken
    ) =>
        DeadLetterRows.CountRepeatedAsync(
            connection,
            [.. arrived.Select(one => (one.Key, one.Value.Times, one.Value.Message.Reason, (string?)null))],
            now,
            cancellationToken
        );

    private static Task<HashSet<string>> KnownFarmsAsync(
        NpgsqlConnection connection,
        IEnumerable<RejectedMessage> messages,
        CancellationToken cancellationToken
    ) =>
        JournalReader.KnownFarmsAsync(
            connection,
            [.. messages.Select(message => NewDeadLetter.TopicPartsOf(message.Topic).Farm).OfType<string>().Distinct()],
            cancellationToken
        );
}
