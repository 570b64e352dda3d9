using System.Collections.Concurrent;
using System.Runtime.InteropServices;

namespace NutrientLedger.Persistence.Scheduling;

/// <summary>
/// Threads of their own for what works through a farm's past, so that messages find a thread of the pool at once, however few there are.
/// On Linux they get a processor only while nothing else wants one, and give it up as soon as something does: the scheduling policy for
/// idle work, as sched(7) of the Linux man-pages describes it, for which no privilege is needed. Where it is refused they still are threads
/// of their own. Elsewhere they have the lowest priority.
/// </summary>
public sealed class BesideThreads : TaskScheduler, IDisposable
{
    /// <summary>Each thread that posts holds a part of the ledger in memory; more of them would hold too much.</summary>
    private const int CountMost = 8;

    /// <summary>SCHED_IDLE in sched.h of Linux, from memory.</summary>
    private const int PolicyForIdleWork = 5;

    [ThreadStatic]
    private static BesideThreads? mine;

    private readonly BlockingCollection<Task> waiting = [];

    /// <param name="count">How many threads, at least 1; more than eight are not started.</param>
    public BesideThreads(int count)
    {
        MaximumConcurrencyLevel = Math.Clamp(count, 1, CountMost);
        for (var i = 0; i < MaximumConcurrencyLevel; i++)
            new Thread(Work)
            {
                IsBackground = true,
                Name = "beside",
                Priority = ThreadPriority.Lowest,
            }.Start();
    }

    /// <inheritdoc/>
    public override int MaximumConcurrencyLevel { get; }

    /// <summary>Runs something on these threads, and there too what it goes on with after it has waited.</summary>
    public Task RunAsync(Func<Task> work, CancellationToken cancellationToken) =>
        Task.Factory.StartNew(work, cancellationToken, TaskCreationOptions.None, this).Unwrap();

    /// <inheritdoc cref="RunAsync(Func{Task}, CancellationToken)"/>
    public Task<T> RunAsync<T>(Func<Task<T>> work, CancellationToken cancellationToken) =>
        Task.Factory.StartNew(work, cancellationToken, TaskCreationOptions.None, this).Unwrap();

    /// <summary>Ends the threads when what waits for them is done; what comes later goes to the pool.</summary>
    public void Dispose() => waiting.CompleteAdding();

    /// <inheritdoc/>
    protected override void QueueTask(Task task)
    {
        try
        {
            waiting.Add(task);
        }
        catch (InvalidOperationException)
        {
            // The threads have ended; what was under way still has to come to its end.
            ThreadPool.QueueUserWorkItem(_ => TryExecuteTask(task));
        }
    }

    /// <inheritdoc/>
    protected override bool TryExecuteTaskInline(Task task, bool taskWasPreviouslyQueued) =>
        mine == this && TryExecuteTask(task);

    /// <inheritdoc/>
    protected override IEnumerable<Task> GetScheduledTasks() => waiting.ToArray();

    private void Work()
    {
        mine = this;
        OnlyWhenNothingElseWantsIt();
        foreach (var task in waiting.GetConsumingEnumerable())
            TryExecuteTask(task);
    }

    private static void OnlyWhenNothingElseWantsIt()
    {
        if (!OperatingSystem.IsLinux())
            return;
        try
        {
            var parameters = default(SchedulingParameters);
            _ = SetScheduler(0, PolicyForIdleWork, ref parameters);
        }
        catch (Exception e) when (e is DllNotFoundException or EntryPointNotFoundException)
        {
            // Refused or not there: the work is done all the same.
        }
    }

    /// <summary>A process id of 0 means the calling thread.</summary>
    [DllImport("libc", EntryPoint = "sched_setscheduler")]
    private static extern int SetScheduler(int processId, int policy, ref SchedulingParameters parameters);

    /// <summary>The priority is 0 for this policy; some libraries of C have more fields than one.</summary>
    [StructLayout(LayoutKind.Sequential, Size = 64)]
    private struct SchedulingParameters;
}
