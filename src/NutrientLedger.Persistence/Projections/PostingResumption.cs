using JasperFx.Events.Daemon;
using JasperFx.Events.Projections;
using Microsoft.Extensions.Hosting;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.Projections;

/// <summary>
/// Posts an event page again at once when its farm's row has moved on meanwhile: a replay or another hub was first.
/// Marten takes this for a failure and would pause for some seconds.
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
        if (value is { Action: ShardAction.Paused, Exception: { } error } && DatabaseErrors.IsMovedRow(error))
            _ = Task.Run(async () =>
            {
                try
                {
                    await projections.DaemonForMainDatabase().StartAgentAsync(value.ShardName, CancellationToken.None);
                }
                catch (Exception)
                {
                    // Marten starts it again by itself after its pause.
                }
            });
    }

    /// <inheritdoc/>
    public void OnError(Exception error) { }

    /// <inheritdoc/>
    public void OnCompleted() { }
}
