using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using NutrientLedger.Ingestion.Monitoring;
using NutrientLedger.Ingestion.Queueing;

namespace NutrientLedger.Ingestion.Commit;

/// <summary>
/// Keeps the group commit running as long as the hub runs. If a defect ends it, the hub logs this and stops. A hub that
/// accepts messages and commits none would look alive.
/// </summary>
internal sealed class CommitLoop(
    IngestionQueue queue,
    GroupCommit commit,
    IngestionLimits limits,
    TimeProvider clock,
    IHostApplicationLifetime hub,
    ILogger<CommitLoop> logger
) : IHostedLifecycleService, IDisposable
{
    private readonly IngestionLog log = new(logger);
    private readonly CancellationTokenSource stop = new();
    private Task loop = Task.CompletedTask;

    public Task StartingAsync(CancellationToken cancellationToken)
    {
        loop = Task.Run(RunAsync, CancellationToken.None);
        return Task.CompletedTask;
    }

    /// <summary>Accepts no more messages and commits those that have arrived.</summary>
    public async Task DrainAsync(CancellationToken cancellationToken)
    {
        queue.Close();
        try
        {
            await loop.WaitAsync(limits.DrainLimit, clock, cancellationToken);
        }
        catch (Exception late) when (late is TimeoutException or OperationCanceledException)
        {
            log.StoppedWithUncommitted();
            await stop.CancelAsync();
        }
    }

    public Task StoppingAsync(CancellationToken cancellationToken) => DrainAsync(cancellationToken);

    public Task StartAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    public Task StartedAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    public Task StopAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    public Task StoppedAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    public void Dispose() => stop.Dispose();

    private async Task RunAsync()
    {
        try
        {
            await commit.RunAsync(stop.Token);
        }
        catch (Exception exception)
        {
            log.CommitLoopFailed(exception);
            Environment.ExitCode = 2;
            hub.StopApplication();
        }
    }
}
