using Marten;
using Marten.Services;

namespace NutrientLedger.Persistence.Projections;

/// <summary>
/// Decides who writes posted ledgers in this hub: an event batch of the projection, or the short last step of a
/// correction. The turn only saves them from failing on each other. The database detects a ledger that moved on
/// unnoticed.
/// </summary>
internal sealed class PostingTurn : IChangeListener, IDisposable
{
    /// <summary>
    /// A failed event batch ends its turn only when it is tried again. Nobody waits for it longer than this.
    /// </summary>
    private static readonly TimeSpan WaitingMax = TimeSpan.FromSeconds(2);

    private readonly SemaphoreSlim free = new(1);
    private readonly SemaphoreSlim pages = new(0, 1);
    private int pageHoldsIt;

    /// <summary>
    /// Waits for the turn and keeps it until the event batch is committed. A batch that is tried again has it already.
    /// </summary>
    public async Task BeginPageAsync(CancellationToken cancellationToken)
    {
        if (Volatile.Read(ref pageHoldsIt) == 1)
            return;
        await free.WaitAsync(cancellationToken);
        Volatile.Write(ref pageHoldsIt, 1);
    }

    /// <summary>Does something between two event batches.</summary>
    public async Task BetweenPagesAsync(Func<Task> step, CancellationToken cancellationToken)
    {
        var taken = await free.WaitAsync(WaitingMax, cancellationToken);
        try
        {
            await step();
        }
        finally
        {
            if (taken)
                free.Release();
        }
    }

    /// <summary>Waits until an event batch was committed, but not for ever. Another hub may have posted one.</summary>
    public Task PageCommittedAsync(TimeSpan most, CancellationToken cancellationToken) =>
        pages.WaitAsync(most, cancellationToken);

    public Task AfterCommitAsync(IDocumentSession session, IChangeSet commit, CancellationToken token)
    {
        if (Interlocked.Exchange(ref pageHoldsIt, 0) == 1)
            free.Release();
        lock (pages)
            if (pages.CurrentCount == 0)
                pages.Release();
        return Task.CompletedTask;
    }

    public Task BeforeCommitAsync(IDocumentSession session, IChangeSet commit, CancellationToken token) =>
        Task.CompletedTask;

    public void Dispose()
    {
        free.Dispose();
        pages.Dispose();
    }
}
