using System.Collections.Concurrent;
using System.Runtime.InteropServices;

namespace NutrientLedger.Persistence.Scheduling;

/// <summary>
/// Separate threads for work on a farm's past. Messages then find a thread of the pool at once, however few there are.
/// On Linux these threads run only while nothing else wants a processor, and yield as soon as something does. This is
/// the scheduling policy for idle work, as sched(7) of the Linux man-pages describes it. It needs no privilege. Where
/// it is denied they are still separate threads. Elsewhere they have the lowest priority.
/// </summary>
public sealed class BesideThreads : TaskScheduler, IDisposable
{
    /// <summary>
    /// Each thread that posts holds a part of the ledger in memory. More of them would hold too much.
    /// </summary>
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

    /// <summary>Runs something on these threads, its continuations included.</summary>
    public Task RunAsync(Func<Task> work, CancellationToken cancellationToken) =>
        Task.Factory.StartNew(work, cancellationToken, TaskCreationOptions.None, this).Unwrap();

    /// <inheritdoc cref="RunAsync(Func{Task}, CancellationToken)"/>
    public Task<T> RunAsync<T>(Func<Task<T>> work, CancellationToken cancellationToken) =>
        Task.Factory.StartNew(work, cancellationToken, TaskCreationOptions.None, this).Unwrap();

    /// <summary>Ends the threads when their queue is done. Later work goes to the pool.</summary>
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
            // The threads have ended. What was under way still has to finish.
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
            // Denied or not available: the work is done all the same.
        }
    }

    /// <summary>A process id of 0 means the calling thread.</summary>
    [DllImport("libc", EntryPoint = "sched_setscheduler")]
    private static extern int SetScheduler(int processId, int policy, ref SchedulingParameters parameters);

    /// <summary>The priority is 0 for this policy. Some C libraries have more than one field.</summary>
    [StructLayout(LayoutKind.Sequential, Size = 64)]
    private struct SchedulingParameters;
}
