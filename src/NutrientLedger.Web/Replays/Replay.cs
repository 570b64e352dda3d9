using System.Net.ServerSentEvents;
using System.Runtime.CompilerServices;
using NutrientLedger.Persistence.Rebuild;
using NutrientLedger.Web.Contracts.Replays;

namespace NutrientLedger.Web.Replays;

/// <summary>A running or finished replay and its state. Followers get every change, at most twice a second.</summary>
#pragma warning disable CA1001 // A cancellation source holds no unmanaged resource without a timer, and may be read after the end.
internal sealed class Replay : IProgress<PostingProgress>
{
    public const string Running = "running";
    public const string Done = "done";
    public const string Cancelled = "cancelled";

    private static readonly TimeSpan Pause = TimeSpan.FromMilliseconds(500);
    private static readonly TimeSpan QuietMax = TimeSpan.FromSeconds(15);

    private readonly TimeProvider clock;
    private readonly CancellationTokenSource cancelling = new();
    private readonly TaskCompletionSource ended = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private readonly Lock gate = new();
    private readonly long since;
    private TaskCompletionSource changed = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private ReplayResponse response;
    private (long Timestamp, long Position)? firstProgress;

    public Replay(long id, string farm, bool switchOver, long? asOf, TimeProvider clock)
    {
        (this.clock, since) = (clock, clock.GetTimestamp());
        response = new(
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
            Reason: null
        );
    }

    public ReplayResponse Response => Look().Shown;

    public bool IsRunning => Response.State == Running;

    /// <summary>Completes when the replay is over and none of its work is running.</summary>
    public Task Ended => ended.Task;

    public CancellationToken Cancellation => cancelling.Token;

    /// <summary>Requests cancellation; the replay is over when <see cref="Ended"/> completes.</summary>
    public Task CancelAsync() => cancelling.CancelAsync();

    public void Report(PostingProgress value)
    {
        var seconds = clock.GetElapsedTime(since).TotalSeconds;
        var now = clock.GetTimestamp();
        firstProgress ??= (now, value.Position);
        var (began, from) = firstProgress.Value;
        // The farm's first event may be anywhere in the journal, so the speed is measured from the first report.
        double? left =
            value.Position > from
                ? clock.GetElapsedTime(began, now).TotalSeconds
                    * (value.LastPosition - value.Position)
                    / (value.Position - from)
                : null;
        double? rate = seconds > 0 ? value.Batches / seconds : null;
        Change(answer => answer with { Progress = new(value.Batches, value.Position, value.LastPosition, rate, left) });
    }

    public void End(Func<ReplayResponse, ReplayResponse> how)
    {
        Change(answer => how(answer) with { EndedAt = clock.GetUtcNow() });
        ended.TrySetResult();
    }

    /// <summary>
    /// Sends "progress" at once and after changes, "heartbeat" when nothing changed for 15 s, and "report" at the end.
    /// </summary>
    public async IAsyncEnumerable<SseItem<ReplayResponse?>> FollowAsync(
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
                await Quietly(next.WaitAsync(QuietMax, clock, cancellationToken));
                if (!next.IsCompleted && !cancellationToken.IsCancellationRequested)
                    yield return new(null, "heartbeat");
            }
        }
    }

    /// <summary>Ignores timeout and cancellation, because the caller checks the state afterwards.</summary>
    private static ConfiguredTaskAwaitable Quietly(Task wait) =>
        wait.ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);

    private (ReplayResponse Shown, Task Next) Look()
    {
        lock (gate)
            return (response, changed.Task);
    }

    private void Change(Func<ReplayResponse, ReplayResponse> change)
    {
        TaskCompletionSource previous;
        lock (gate)
        {
            response = change(response);
            previous = changed;
            changed = new(TaskCreationOptions.RunContinuationsAsynchronously);
        }
        previous.SetResult();
    }
}
