using Microsoft.Extensions.DependencyInjection;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Persistence.Rebuild;
using NutrientLedger.Persistence.Scheduling;

namespace NutrientLedger.Integration.Tests.Persistence.Rebuild;

/// <summary>A farm's past is rebuilt only while no message is under way, or a little at a time.</summary>
public sealed class GivingWayTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    private const int NarrowE7 = -949_999_500;

    [DatabaseFact]
    public async Task A_correction_and_a_replay_finish_although_messages_never_stop()
    {
        await database.EmptyAsync();
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await WorkedAsync(store);
        // Each append begins well before the previous one would count as abandoned.
        await using var messages = new Timer(_ => store.Way.AppendBegins(), null, 0, 50);
        await store.RecordAsync(Some.Farm, Some.Redrawn(NarrowE7));
        await store.PostedAsync();
        RebuildReport? replay = null;
        await PersistenceTestHost.UntilAsync(async () =>
        {
            try
            {
                replay = await store.Replay.RunAsync(Some.Farm, switchOver: true, null, CancellationToken.None);
                return true;
            }
            catch (RebuildUnavailableException)
            {
                // The correction still deletes the rows before it.
                return false;
            }
        });
        Assert.True(replay is { Switched: true, Lines: > 0, Tiles: > 0 });
        Assert.Empty(replay.Differences);
        Assert.Empty((await store.AuditAsync()).Findings);
    }

    [DatabaseFact]
    public async Task A_correction_waits_on_its_own_thread_and_writes_nothing_while_a_message_is_under_way()
    {
        await database.EmptyAsync();
        var clock = new StandingClock();
        await using var store = await PersistenceTestHost.StartAsync(
            database.ConnectionString,
            configure: services => services.AddSingleton(new RightOfWay(clock))
        );
        await WorkedAsync(store);
        store.Way.AppendBegins();
        await store.RecordAsync(Some.Farm, Some.Redrawn(NarrowE7));
        Assert.Equal("beside", await clock.SomebodyWaits.WaitAsync(PersistenceTestHost.Patience));
        Assert.True((await store.ReadAsync()).IsBeingCorrected);
        Assert.Equal(1, await database.ReadAsync<long>("select count(distinct generation) from ledger.line"));
        clock.Stands = false;
        store.Way.AppendEnds();
        await store.PostedAsync();
        Assert.Empty((await store.AuditAsync()).Findings);
    }

    private static async Task WorkedAsync(PersistenceTestHost store)
    {
        await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
        await store.AppendAsync(Some.Message(1, 400));
        await store.AppendAsync(Some.Message(401, 600));
        await store.PostedAsync();
    }

    /// <summary>
    /// A clock that can stand still. A wait begun then never ends. It reports the thread of the first wait.
    /// </summary>
    private sealed class StandingClock : TimeProvider
    {
        private readonly TaskCompletionSource<string?> waits = new(TaskCreationOptions.RunContinuationsAsynchronously);

        private readonly long begun = System.GetTimestamp();

        public volatile bool Stands = true;

        public Task<string?> SomebodyWaits => waits.Task;

        public override long GetTimestamp() => Stands ? begun : base.GetTimestamp();

        public override ITimer CreateTimer(TimerCallback callback, object? state, TimeSpan dueTime, TimeSpan period)
        {
            waits.TrySetResult(Thread.CurrentThread.Name);
            return base.CreateTimer(callback, state, Stands ? Timeout.InfiniteTimeSpan : dueTime, period);
        }
    }
}
