using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Persistence.Rebuild;
using NutrientLedger.Persistence.Scheduling;

namespace NutrientLedger.Integration.Tests.Persistence.Scheduling;

/// <summary>
/// Work on a farm's past has its own threads, which Linux runs only when nothing else needs the processor.
/// </summary>
public sealed class BesideThreadsTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    [Fact]
    public async Task Work_begins_and_goes_on_after_each_wait_on_one_of_the_threads()
    {
        using var threads = new BesideThreads(2);
        var (before, after) = await threads.RunAsync(
            async () =>
            {
                var name = Thread.CurrentThread.Name;
                await Task.Delay(1);
                return (name, Thread.CurrentThread.Name);
            },
            CancellationToken.None
        );
        Assert.Equal(("beside", "beside"), (before, after));
    }

    /// <summary>
    /// Source: proc(5) of the Linux man-pages, field 41 of /proc/[pid]/stat is the scheduling policy, and sched.h of
    /// Linux, where SCHED_IDLE is 5; from memory. Other threads have the policy with which the whole process was
    /// started.
    /// </summary>
    [Fact]
    public async Task On_Linux_the_threads_have_idle_scheduling_and_others_do_not()
    {
        if (!OperatingSystem.IsLinux())
            return;
        using var threads = new BesideThreads(1);
        var policy = await threads.RunAsync(() => Task.FromResult(Policy("thread-self")), CancellationToken.None);
        Assert.Equal(("5", Policy("self")), (policy, await Task.Run(() => Policy("thread-self"))));

        // The name of the thread, in parentheses, may hold blanks; after it come fields 3 and on.
        static string Policy(string whose)
        {
            var stat = File.ReadAllText($"/proc/{whose}/stat");
            return stat[(stat.LastIndexOf(')') + 2)..].Split(' ')[41 - 3];
        }
    }

    [Fact]
    public async Task Work_that_waits_while_the_threads_end_still_completes()
    {
        var threads = new BesideThreads(1);
        var ended = new TaskCompletionSource();
        var work = threads.RunAsync(
            async () =>
            {
                await ended.Task;
                return 7;
            },
            CancellationToken.None
        );
        // The one thread reaches this only after the work has begun to wait.
        await threads.RunAsync(() => Task.CompletedTask, CancellationToken.None);
        threads.Dispose();
        ended.SetResult();
        Assert.Equal(7, await work.WaitAsync(PersistenceTestHost.Patience));
    }

    [DatabaseFact]
    public async Task A_replay_and_a_query_as_of_a_position_are_posted_on_those_threads()
    {
        await database.EmptyAsync();
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
        await store.AppendAsync(Some.Message(1, 400));
        var position = await store.PostedAsync();

        var (replayed, answered) = (new Names(), new Names());
        await store.Replay.RunAsync(Some.Farm, switchOver: true, replayed, CancellationToken.None);
        await store.Ledgers.AsOfAsync(Some.Farm, season: null, position, answered, CancellationToken.None);
        Assert.Equal(["beside"], replayed.Distinct());
        Assert.Equal(["beside"], answered.Distinct());
    }

    /// <summary>The names of the threads that reported progress.</summary>
    private sealed class Names : List<string?>, IProgress<PostingProgress>
    {
        public void Report(PostingProgress value) => Add(Thread.CurrentThread.Name);
    }
}
