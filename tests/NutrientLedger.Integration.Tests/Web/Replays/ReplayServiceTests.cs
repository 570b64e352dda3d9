using System.Net.ServerSentEvents;
using System.Threading.Channels;
using Microsoft.Extensions.Hosting.Internal;
using Microsoft.Extensions.Logging.Abstractions;
using Microsoft.Extensions.Time.Testing;
using NutrientLedger.Persistence.Rebuild;
using NutrientLedger.Web.Contracts.Replays;
using NutrientLedger.Web.Replays;

namespace NutrientLedger.Integration.Tests.Web.Replays;

/// <summary>
/// Which replays may begin, how their ends are reported and when they are forgotten. The work and the clock are the
/// test's own.
/// </summary>
public sealed class ReplayServiceTests
{
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(4);

    private readonly WatchedClock clock = new(new(2026, 5, 1, 6, 0, 0, TimeSpan.Zero));
    private readonly Dictionary<string, TaskCompletionSource<ReplayResponse>> work = [];
    private readonly ReplayService replays;

    public ReplayServiceTests() =>
        replays = new(
            async (replay, stop) =>
            {
                var ended = await work[replay.Response.Farm].Task.WaitAsync(stop);
                return answer => answer with { Reason = ended.Reason };
            },
            new ApplicationLifetime(NullLogger<ApplicationLifetime>.Instance),
            clock,
            NullLogger<ReplayService>.Instance
        );

    [Fact]
    public async Task At_most_four_replays_run_one_of_each_farm_and_the_blocking_one_is_named()
    {
        var first = Begin("north");
        var again = replays.Begin("north", switchOver: false, asOf: null);
        Assert.Null(again.Begun);
        Assert.Equal([first], again.InTheWay);
        Replay[] all = [first, Begin("east"), Begin("south"), Begin("west")];

        var fifth = replays.Begin("hill", switchOver: false, asOf: null);
        Assert.Null(fifth.Begun);
        Assert.Equal(all, fifth.InTheWay);

        await EndAsync(all[1]);
        Assert.Equal(["running", "done", "running", "running"], all.Select(replay => replay.Response.State));
        var (begun, inTheWay) = replays.Begin("hill", switchOver: false, asOf: null);
        Assert.Empty(inTheWay);
        Assert.Equal([.. all, begun!], replays.All);
        // Numbers come from the time, and each is given once.
        Assert.Equal(5, replays.All.Select(replay => replay.Response.Replay).Distinct().Count());
        Assert.Equal(clock.GetUtcNow().ToUnixTimeMilliseconds(), first.Response.Replay);
    }

    [Fact]
    public async Task A_rejected_and_a_failed_replay_give_their_reason_and_free_their_place()
    {
        var rejected = Begin("north");
        work["north"].SetException(new RebuildUnavailableException("Nothing is posted yet. Try again in a moment."));
        await rejected.Ended.WaitAsync(Patience);
        Assert.Equal(
            ("unavailable", "Nothing is posted yet. Try again in a moment."),
            (rejected.Response.State, rejected.Response.Reason)
        );

        var failed = Begin("north");
        work["north"].SetException(new InvalidOperationException("two is not three"));
        await failed.Ended.WaitAsync(Patience);
        Assert.Equal("failed", failed.Response.State);
        Assert.Contains(
            "Internal error, see the log; the live ledger is unchanged.",
            failed.Response.Reason,
            StringComparison.Ordinal
        );

        var lost = Begin("north", switchOver: true);
        work["north"].SetException(new Npgsql.NpgsqlException("line lost"));
        await lost.Ended.WaitAsync(Patience);
        Assert.Contains(
            "the old or the new ledger is in use, complete",
            lost.Response.Reason,
            StringComparison.Ordinal
        );
        Assert.Contains("Start again when /health/ready", lost.Response.Reason, StringComparison.Ordinal);
        Assert.All(replays.All, replay => Assert.Equal(clock.GetUtcNow(), replay.Response.EndedAt));
        Assert.Equal(3, replays.All.Count);
    }

    [Fact]
    public async Task A_cancelled_one_says_that_nothing_is_left_of_it()
    {
        var replay = Begin("north");
        await replay.CancelAsync();
        await replay.Ended.WaitAsync(Patience);
        Assert.Equal(
            ("cancelled", "It was cancelled. Its rows are deleted."),
            (replay.Response.State, replay.Response.Reason)
        );
    }

    [Fact]
    public async Task Finished_replays_are_forgotten_after_a_day_and_running_ones_are_not()
    {
        var over = Begin("north");
        await EndAsync(over);
        var running = Begin("east");

        clock.Advance(ReplayService.FinishedKeptFor);
        Assert.Equal([over, running], replays.All);
        clock.Advance(TimeSpan.FromMilliseconds(1));
        Assert.Equal([running], replays.All);
        Assert.Null(replays.Find(over.Response.Replay));
        clock.Advance(10 * ReplayService.FinishedKeptFor);
        Assert.Same(running, replays.Find(running.Response.Replay));
    }

    [Fact]
    public async Task A_follower_hears_a_heartbeat_after_every_quarter_of_a_minute_without_change_and_the_report_last()
    {
        var replay = Begin("north");
        await using var events = replay.FollowAsync(CancellationToken.None).GetAsyncEnumerator();
        Assert.Equal("progress", await NextAsync(events));
        var next = NextAsync(events);
        // A pause of half a second between two messages, then silence.
        await clock.TimerMadeAsync();
        clock.Advance(TimeSpan.FromMilliseconds(500));
        for (var quarter = 0; quarter < 2; quarter++)
        {
            await clock.TimerMadeAsync();
            clock.Advance(TimeSpan.FromMilliseconds(14_999));
            Assert.False(next.IsCompleted);
            clock.Advance(TimeSpan.FromMilliseconds(1));
            Assert.Equal("heartbeat", await next.WaitAsync(Patience));
            next = NextAsync(events);
        }

        replay.Report(new(3, 40, 100));
        Assert.Equal("progress", await next.WaitAsync(Patience));
        Assert.Equal(
            (3, 40, 100),
            (
                events.Current.Data!.Progress.Batches,
                events.Current.Data.Progress.Position,
                events.Current.Data.Progress.LastPosition
            )
        );
        next = NextAsync(events);
        await EndAsync(replay);
        Assert.Equal("report", await next.WaitAsync(Patience));
        Assert.False(await events.MoveNextAsync());
    }

    private static async Task<string> NextAsync(IAsyncEnumerator<SseItem<ReplayResponse?>> events)
    {
        Assert.True(await events.MoveNextAsync());
        return events.Current.EventType;
    }

    private Replay Begin(string farm, bool switchOver = false)
    {
        work[farm] = new(TaskCreationOptions.RunContinuationsAsynchronously);
        var (begun, inTheWay) = replays.Begin(farm, switchOver, asOf: null);
        Assert.Empty(inTheWay);
        return begun!;
    }

    private async Task EndAsync(Replay replay)
    {
        work[replay.Response.Farm].SetResult(replay.Response);
        await replay.Ended.WaitAsync(Patience);
    }

    /// <summary>A clock that reports when a wait on it begins; before that it must not advance.</summary>
    private sealed class WatchedClock(DateTimeOffset start) : FakeTimeProvider(start)
    {
        private readonly Channel<TimeSpan> made = Channel.CreateUnbounded<TimeSpan>();

        public Task<TimeSpan> TimerMadeAsync() => made.Reader.ReadAsync().AsTask().WaitAsync(Patience);

        public override ITimer CreateTimer(TimerCallback callback, object? state, TimeSpan dueTime, TimeSpan period)
        {
            var timer = base.CreateTimer(callback, state, dueTime, period);
            Assert.True(made.Writer.TryWrite(dueTime));
            return timer;
        }
    }
}
