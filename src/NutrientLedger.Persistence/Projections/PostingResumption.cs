using JasperFx.Events.Daemon;
using JasperFx.Events.Projections;
using Marten.Exceptions;
using Microsoft.Extensions.Hosting;
using Npgsql;

namespace NutrientLedger.Persistence.Projections;

/// <summary>
/// Posts an event page again at once when its farm's row has moved on meanwhile: a replay or another hub was first.
/// Marten takes this for a failure and would pause for some seconds.
/// </summary>
public sealed class PostingResumption(Marten.Events.Daemon.Coordination.IProjectionCoordinator projections)
    : IHostedService,
        IObserver<ShardState>
{
    private IDisposable? subscription;

    /// <summary>Whether an error only says that a farm's row has moved on.</summary>
    public static bool IsMovedRow(Exception exception)
    {
        for (var cause = exception; cause is not null; cause = cause.InnerException)
            if (
                cause
                is ConcurrentUpdateException
                    or PostgresException { SqlState: PostgresErrorCodes.SerializationFailure }
            )
                return true;
        return false;
    }

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
        if (value is { Action: ShardAction.Paused, Exception: { } error } && IsMovedRow(error))
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
