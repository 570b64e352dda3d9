using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using NutrientLedger.Ingestion.Monitoring;
using NutrientLedger.Ingestion.Queueing;

namespace NutrientLedger.Ingestion.Commit;

/// <summary>
/// Keeps the group commit running for as long as the hub runs. Should it end by a mistake, the hub stops and says so: a hub that
/// takes messages in and commits none would look alive and be worse than none.
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

    /// <summary>Lets nothing more in and commits what has arrived.</summary>
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
