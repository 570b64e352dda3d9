using Microsoft.Extensions.Logging;
using NutrientLedger.Ingestion.Monitoring;
using NutrientLedger.Ingestion.Queueing;
using NutrientLedger.Ingestion.Watermarks;
using NutrientLedger.Persistence.Appending;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Hubs;
using NutrientLedger.Persistence.Messages;
using NutrientLedger.Telemetry;
using Polly;

namespace NutrientLedger.Ingestion.Commit;

/// <summary>
/// Commits queued messages to the journal: many messages in one transaction, one transaction at a time. Each message
/// gets its result only after the commit that decided it.
/// </summary>
internal sealed class GroupCommit : IHubWork
{
    /// <summary>A try ends after 10 s at most, and a pause between two after 2 s.</summary>
    private static readonly TimeSpan StandstillMin = TimeSpan.FromSeconds(30);

    private readonly Lock guard = new();
    private long? movedAt;
    private readonly IngestionQueue queue;
    private readonly IJournal journal;
    private readonly IngestionLimits limits;
    private readonly TimeProvider clock;
    private readonly IngestionMeter meter;
    private readonly IngestionStatus status;
    private readonly PendingWatermarks watermarks;
    private readonly QuotaTracker quota;
    private readonly IngestionLog log;
    private readonly LogThrottle logThrottle;
    private readonly OutageTracker outage;
    private readonly ResiliencePipeline retries;

    public GroupCommit(
        IngestionQueue queue,
        IJournal journal,
        IngestionLimits limits,
        TimeProvider clock,
        IngestionMeter meter,
        IngestionStatus status,
        PendingWatermarks watermarks,
        DatabaseOutage database,
        QuotaTracker quota,
        ILogger<GroupCommit> logger
    )
    {
        (this.queue, this.journal, this.limits, this.clock) = (queue, journal, limits, clock);
        (this.meter, this.status, this.watermarks, this.quota) = (meter, status, watermarks, quota);
        (log, logThrottle) = (new(logger), new(clock));
        outage = new(database, status, log);
        retries = TransientErrors.Retries(clock, error => outage.Failed(TransientErrors.Describe(error)));
    }

    /// <inheritdoc/>
    public string? Standstill
    {
        get
        {
            lock (guard)
                return movedAt is { } since && clock.GetElapsedTime(since) > StandstillMin
                    ? FormattableString.Invariant(
                        $"The commit of messages has stood still for over {StandstillMin.TotalSeconds:0} s"
                    )
                    : null;
        }
    }

    /// <summary>Commits until the queue is closed and empty, or until it is stopped.</summary>
    public async Task RunAsync(CancellationToken stop)
    {
        var group = new List<QueuedMessage>(limits.CommitMessagesMax);
        while (await queue.FillAsync(group))
        {
            Moved(clock.GetTimestamp());
            try
            {
                await CommitAsync(group.ToArray(), stop);
            }
            catch (Exception exception)
            {
                // Whatever failed, the loop must go on. The devices send these messages again.
                log.CommitFailed(group.Count, exception);
                NotCommitted(group.ToArray());
            }
            Moved(null);
            group.Clear();
        }
    }

    /// <summary>Notes that the commit goes on, or (with null) that there is nothing to commit.</summary>
    private void Moved(long? at)
    {
        lock (guard)
            movedAt = at;
    }

    private async Task CommitAsync(ArraySegment<QueuedMessage> group, CancellationToken stop)
    {
        try
        {
            await AppendAsync(group, stop);
        }
        catch (Exception error)
            when (error is OperationCanceledException or HubReplacedException || TransientErrors.IsTransient(error))
        {
            outage.GivenUp(group.Count, error.Message);
            NotCommitted(group);
        }
        catch (Exception error) when (group.Count > 1)
        {
            // One bad message must not keep the good ones out, so the group is split in halves to find it.
            log.CommitSplit(group.Count, error.Message);
            await CommitAsync(group[..(group.Count / 2)], stop);
            await CommitAsync(group[(group.Count / 2)..], stop);
        }
        catch (Exception error)
        {
            await DeadLetterAsync(group[0], error, stop);
        }
    }

    private async Task AppendAsync(ArraySegment<QueuedMessage> group, CancellationToken stop)
    {
        var arrived = new List<DecodedMessage>(group.Count);
        var rejected = new List<RejectedMessage>();
        foreach (var message in group)
            if (message.DecodeResult is DecodeResult.Decoded decoded)
                arrived.Add(MessageMapping.Of(decoded, message.Topic, message.Payload, message.ContentType));
            else if (message.DecodeResult is DecodeResult.Rejected { Reason: var reason })
                rejected.Add(message.Rejected(reason));

        var results = await AppendAsync(arrived, rejected, group[0].ArrivedAt, stop);
        var next = 0;
        foreach (var message in group)
        {
            var result = message.DecodeResult switch
            {
                DecodeResult.Rejected { Reason: var reason } => new AppendResult.Rejected(reason),
                _ => results[next++],
            };
            meter.Count(result);
            if (result is AppendResult.Stored && message.Device is { } device)
                watermarks.Add(device);
            if (result is AppendResult.OverQuota { Reason: var limit })
                quota.Exceeded(message.Topic, limit);
            if (result is AppendResult.Rejected { WaitsFor: WaitingFor.Decision, Reason: var difference })
                Undecided(message, difference);
            message.Complete(
                result switch
                {
                    AppendResult.Rejected { Reason: var why } => new(AcknowledgeKind.Rejected, why),
                    AppendResult.OverQuota { Reason: var full } => new(AcknowledgeKind.OverQuota, full),
                    AppendResult.NotCommitted => new(AcknowledgeKind.NotCommitted),
                    _ => new(AcknowledgeKind.Committed),
                }
            );
        }
    }

    /// <summary>
    /// A device sends other readings under known numbers. The watermark of the device before it is withdrawn, or this
    /// one might drop by it what the hub does not have.
    /// </summary>
    private void Undecided(QueuedMessage message, string reason)
    {
        if (message.Device is { } device)
            watermarks.Add(device);
        if (logThrottle.CountToLog(message.Topic, nameof(Undecided)) is > 0 and var times)
            log.Undecided(times, message.Topic, reason);
    }

    private async Task<IReadOnlyList<AppendResult>> AppendAsync(
        List<DecodedMessage> arrived,
        List<RejectedMessage> rejected,
        long since,
        CancellationToken stop
    )
    {
        // Messages that have already waited too long get one more second, so that a queue of old messages is worked
        // off.
        var remaining = limits.CommitLimit - clock.GetElapsedTime(since);
        using var limit = new CancellationTokenSource(
            remaining > IngestionLimits.TryMin ? remaining : IngestionLimits.TryMin,
            clock
        );
        using var either = CancellationTokenSource.CreateLinkedTokenSource(limit.Token, stop);
        var begun = clock.GetTimestamp();
        var results = await retries.ExecuteAsync(async token => await TryAsync(arrived, rejected, token), either.Token);
        meter.Committed(arrived.Count + rejected.Count, clock.GetElapsedTime(begun));
        status.Committed(clock.GetUtcNow());
        outage.Ended();
        return results;
    }

    /// <summary>
    /// One try. A database that hangs is left waiting: cancelling may block for seconds, because the server has to take
    /// part. What it commits after all is known by its numbers.
    /// </summary>
    private async Task<IReadOnlyList<AppendResult>> TryAsync(
        List<DecodedMessage> arrived,
        List<RejectedMessage> rejected,
        CancellationToken token
    )
    {
        Moved(clock.GetTimestamp());
        var ending = new CancellationTokenSource();
        var append = journal.AppendAsync(arrived, rejected, ending.Token);
        try
        {
            return await append.WaitAsync(limits.CommitLimit / 2, clock, token);
        }
        finally
        {
            if (!append.IsCompleted)
                _ = Task.Run(ending.Cancel, CancellationToken.None);
        }
    }

    /// <summary>Stores a message as a dead letter when the database rejects it even alone.</summary>
    private async Task DeadLetterAsync(QueuedMessage message, Exception error, CancellationToken stop)
    {
        var reason = $"The journal could not store the message: {error.Message}";
        log.DeadLettered(message.Topic, error);
        try
        {
            await AppendAsync([], [message.Rejected(reason)], message.ArrivedAt, stop);
            meter.Count(new AppendResult.Rejected(reason));
            message.Complete(new(AcknowledgeKind.Rejected, reason));
        }
        catch (Exception again)
        {
            status.CommitFailed(again.Message);
            outage.GivenUp(1, again.Message);
            NotCommitted(new[] { message });
        }
    }

    private void NotCommitted(ArraySegment<QueuedMessage> group)
    {
        foreach (var message in group)
        {
            meter.NotCommitted();
            message.Complete(new(AcknowledgeKind.NotCommitted));
        }
    }
}
