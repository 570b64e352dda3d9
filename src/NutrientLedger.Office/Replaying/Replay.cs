using System.Net.ServerSentEvents;
using System.Runtime.CompilerServices;
using NutrientLedger.Office.Answers;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Replaying;

/// <summary>A replay at work or over: how it stands, and whoever follows it is told of every change, at most twice a second.</summary>
#pragma warning disable CA1001 // A source of cancellation without a timer holds nothing, and may still be asked when all is over.
internal sealed class Replay : IProgress<PostingProgress>
{
    public const string Running = "running";
    public const string Done = "done";
    public const string Cancelled = "cancelled";

    private static readonly TimeSpan Pause = TimeSpan.FromMilliseconds(500);
    private static readonly TimeSpan QuietMost = TimeSpan.FromSeconds(15);

    private readonly TimeProvider clock;
    private readonly CancellationTokenSource cancelling = new();
    private readonly TaskCompletionSource ended = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private readonly Lock gate = new();
    private readonly long since;
    private TaskCompletionSource changed = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private ReplayAnswer shown;
    private (long Timestamp, long Position)? firstProgress;

    public Replay(long id, string farm, bool switchOver, long? asOf, TimeProvider clock)
    {
        (this.clock, since) = (clock, clock.GetTimestamp());
        shown = new(
            id,
            $"/api/replays/{id}",
            farm,
            Running,
            switchOver,
            asOf,
            clock.GetUtcNow(),
            EndedAt: null,
            new(0, 0, 0, null, null),
            Report: null,
            Fields: null,
            Why: null
        );
    }

    public ReplayAnswer Shown => Look().Shown;

    public bool IsRunning => Shown.State == Running;

    /// <summary>Done when it is over and nothing of it is at work any more.</summary>
    public Task Ended => ended.Task;

    public CancellationToken CancelAsked => cancelling.Token;

    /// <summary>Asks it to stop; it is over when <see cref="Ended"/> is.</summary>
    public Task CancelAsync() => cancelling.CancelAsync();

    public void Report(PostingProgress value)
    {
        var seconds = clock.GetElapsedTime(since).TotalSeconds;
        var now = clock.GetTimestamp();
        firstProgress ??= (now, value.Position);
        var (began, from) = firstProgress.Value;
        // The farm's first entry may stand anywhere in the journal, so the speed is taken from the first report on.
        double? left =
            value.Position > from
                ? clock.GetElapsedTime(began, now).TotalSeconds
                    * (value.LastPosition - value.Position)
                    / (value.Position - from)
                : null;
        double? rate = seconds > 0 ? value.Packs / seconds : null;
        Change(answer => answer with { Progress = new(value.Packs, value.Position, value.LastPosition, rate, left) });
    }

    public void End(Func<ReplayAnswer, ReplayAnswer> how)
    {
        Change(answer => how(answer) with { EndedAt = clock.GetUtcNow() });
        ended.TrySetResult();
    }

    /// <summary>"progress" at once and whenever it has come on, "still" when nothing changed for 15 s, and "report" as the last.</summary>
    public async IAsyncEnumerable<SseItem<ReplayAnswer?>> FollowAsync(
        [EnumeratorCancellation] CancellationToken cancellationToken
    )
    {
        while (!cancellationToken.IsCancellationRequested)
        {
            var (answer, next) = Look();
            if (answer.State != Running)
            {
                yield return new(answer, "report");
                yield break;
            }
            yield return new(answer, "progress");
            await Quietly(Ended.WaitAsync(Pause, clock, cancellationToken));
            while (!next.IsCompleted && !cancellationToken.IsCancellationRequested)
            {
                await Quietly(next.WaitAsync(QuietMost, clock, cancellationToken));
                if (!next.IsCompleted && !cancellationToken.IsCancellationRequested)
                    yield return new(null, "still");
            }
        }
    }

    /// <summary>That a wait ran out, or that the reader has gone, is seen by what is asked afterwards.</summary>
    private static ConfiguredTaskAwaitable Quietly(Task wait) =>
        wait.ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);

    private (ReplayAnswer Shown, Task Next) Look()
    {
        lock (gate)
            return (shown, changed.Task);
    }

    private void Change(Func<ReplayAnswer, ReplayAnswer> change)
    {
        TaskCompletionSource told;
        lock (gate)
        {
            shown = change(shown);
            told = changed;
            changed = new(TaskCreationOptions.RunContinuationsAsynchronously);
        }
        told.SetResult();
    }
}
