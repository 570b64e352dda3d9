using JasperFx.Events.Daemon;
using JasperFx.Events.Projections;
using Microsoft.Extensions.Hosting;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.Projections;

/// <summary>
/// Lets posting go on where Marten would wait or stop. A farm's row that has moved on meanwhile is no failure: a replay
/// or another hub was first, and the event page is posted again at once. Where Marten finds its own note of progress
/// moved, it stops for good, also in a hub that leads again later. Such a posting is taken out, and Marten starts it
/// anew where this hub leads.
/// </summary>
internal sealed class PostingResumption(Marten.Events.Daemon.Coordination.IProjectionCoordinator projections)
    : IHostedService,
        IObserver<ShardState>
{
    private IDisposable? subscription;

    /// <inheritdoc/>
    public Task StartAsync(CancellationToken cancellationToken)
    {
        subscription = projections.DaemonForMainDatabase().Tracker.Subscribe(this);
        return Task.CompletedTask;
    }

    /// <inheritdoc/>
    public Task StopAsync(CancellationToken cancellationToken)
    {
        subscription?.Dispose();
        return Task.CompletedTask;
    }

    /// <inheritdoc/>
    public void OnNext(ShardState value)
    {
        var daemon = projections.DaemonForMainDatabase();
        if (value is { Action: ShardAction.Paused, Exception: { } error } && DatabaseErrors.IsMovedRow(error))
            Try(() => daemon.StartAgentAsync(value.ShardName, CancellationToken.None));
        else if (value is { Action: ShardAction.Stopped, Exception: not null })
            Try(() => daemon.StopAgentAsync(value.ShardName));
    }

    /// <inheritdoc/>
    public void OnError(Exception error) { }

    /// <inheritdoc/>
    public void OnCompleted() { }

    private static void Try(Func<Task> step) =>
        _ = Task.Run(async () =>
        {
            try
            {
                await step();
            }
            catch (Exception)
            {
                // Marten tries by itself after its pause.
            }
        });
}
