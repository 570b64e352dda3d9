using Microsoft.Extensions.Logging;
using NutrientLedger.Intake.Marks;
using NutrientLedger.Store;
using NutrientLedger.Telemetry;
using Polly;

namespace NutrientLedger.Intake.Commit;

/// <summary>
/// Takes what waits in the queue and commits it to the journal, many messages in one transaction, one transaction at a time.
/// Each message gets its verdict only after the commit that decided it.
/// </summary>
internal sealed class GroupCommit
{
    private readonly IntakeQueue queue;
    private readonly IJournal journal;
    private readonly IntakeLimits limits;
    private readonly TimeProvider clock;
    private readonly IntakeMeter meter;
    private readonly IntakeStatus status;
    private readonly StoredNotices notices;
    private readonly IntakeLog log;
    private readonly CommitTrouble lasting;
    private readonly ResiliencePipeline retries;

    public GroupCommit(
        IntakeQueue queue,
        IJournal journal,
        IntakeLimits limits,
        TimeProvider clock,
        IntakeMeter meter,
        IntakeStatus status,
        StoredNotices notices,
        ILogger<GroupCommit> logger
    )
    {
        (this.queue, this.journal, this.limits, this.clock) = (queue, journal, limits, clock);
        (this.meter, this.status, this.notices, log) = (meter, status, notices, new(logger));
        lasting = new(clock, status, log);
        retries = DatabaseTrouble.Retries(clock, trouble => lasting.Failed(DatabaseTrouble.Words(trouble)));
    }

    /// <summary>Commits until the queue is closed and empty, or until it is stopped.</summary>
    public async Task RunAsync(CancellationToken stop)
    {
        var batch = new List<QueuedMessage>(limits.CommitMessagesMax);
        while (await queue.FillAsync(batch))
        {
            try
            {
                await CommitAsync(batch.ToArray(), stop);
            }
            catch (Exception mistake)
            {
                // Whatever this is, it must not end the loop that everybody waits for; these messages come again.
                log.CommitBroken(batch.Count, mistake);
                Tell(batch.ToArray(), new(VerdictKind.NotCommitted));
            }
            batch.Clear();
        }
    }

    private async Task CommitAsync(ArraySegment<QueuedMessage> batch, CancellationToken stop)
    {
        try
        {
            await AppendAsync(batch, stop);
        }
        catch (Exception trouble) when (trouble is OperationCanceledException || DatabaseTrouble.MayPass(trouble))
        {
            lasting.SentBack(batch.Count, trouble.Message);
            Tell(batch, new Verdict(VerdictKind.NotCommitted));
        }
        catch (Exception trouble) when (batch.Count > 1)
        {
            // One bad message must not keep the good ones out, so it is looked for by halves.
            log.Halved(batch.Count, trouble.Message);
            await CommitAsync(batch[..(batch.Count / 2)], stop);
            await CommitAsync(batch[(batch.Count / 2)..], stop);
        }
        catch (Exception trouble)
        {
            await SetAsideAsync(batch[0], trouble, stop);
        }
    }

    private async Task AppendAsync(ArraySegment<QueuedMessage> batch, CancellationToken stop)
    {
        var arrived = new List<ArrivedPack>(batch.Count);
        var refused = new List<RefusedMessage>();
        foreach (var message in batch)
            if (message.Fate is MessageFate.Decoded decoded)
                arrived.Add(Arrival.Of(decoded, message.Topic, message.Payload, message.ContentType));
            else if (message.Fate is MessageFate.Refused { Reason: var reason })
                refused.Add(new(message.Topic, message.Payload, reason, message.ContentType));

        var fates = await AppendAsync(arrived, refused, batch[0].ArrivedAt, stop);
        var next = 0;
        foreach (var message in batch)
        {
            var fate = message.Fate switch
            {
                MessageFate.Refused { Reason: var reason } => new AppendFate.Refused(reason),
                _ => fates[next++],
            };
            meter.Count(fate);
            if (fate is AppendFate.Stored && message.Device is { } device)
                notices.Note(device);
            message.Decide(
                fate is AppendFate.Refused { Reason: var why }
                    ? new(VerdictKind.Refused, why)
                    : new(VerdictKind.Committed)
            );
        }
    }

    private async Task<IReadOnlyList<AppendFate>> AppendAsync(
        List<ArrivedPack> arrived,
        List<RefusedMessage> refused,
        long since,
        CancellationToken stop
    )
    {
        // What has waited long already gets one more second, so that a queue of old messages is worked off at last.
        var rest = limits.CommitLimit - clock.GetElapsedTime(since);
        using var limit = new CancellationTokenSource(rest > Second ? rest : Second, clock);
        using var either = CancellationTokenSource.CreateLinkedTokenSource(limit.Token, stop);
        var begun = clock.GetTimestamp();
        var fates = await retries.ExecuteAsync(
            async token => await journal.AppendAsync(arrived, refused, token),
            either.Token
        );
        meter.Committed(arrived.Count + refused.Count, clock.GetElapsedTime(begun));
        status.Committed(clock.GetUtcNow());
        lasting.Over();
        return fates;
    }

    private static TimeSpan Second { get; } = TimeSpan.FromSeconds(1);

    /// <summary>A message that the database does not take even alone is kept among the refused ones.</summary>
    private async Task SetAsideAsync(QueuedMessage message, Exception trouble, CancellationToken stop)
    {
        var reason = $"The journal could not take it: {trouble.Message}";
        log.SetAside(message.Topic, trouble);
        try
        {
            await AppendAsync(
                [],
                [new(message.Topic, message.Payload, reason, message.ContentType)],
                message.ArrivedAt,
                stop
            );
            meter.Count(new AppendFate.Refused(reason));
            message.Decide(new(VerdictKind.Refused, reason));
        }
        catch (Exception again)
        {
            status.CommitFailed(again.Message);
            lasting.SentBack(1, again.Message);
            Tell(new[] { message }, new Verdict(VerdictKind.NotCommitted));
        }
    }

    private void Tell(ArraySegment<QueuedMessage> batch, Verdict verdict)
    {
        foreach (var message in batch)
        {
            meter.NotCommitted();
            message.Decide(verdict);
        }
    }
}
