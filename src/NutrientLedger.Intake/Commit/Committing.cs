using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;

namespace NutrientLedger.Intake.Commit;

/// <summary>
/// Keeps the group commit running for as long as the hub runs. Should it end by a mistake, the hub stops and says so: a hub that
/// takes messages in and commits none would look alive and be worse than none.
/// </summary>
internal sealed class Committing(
    IntakeQueue queue,
    GroupCommit commit,
    IntakeLimits limits,
    TimeProvider clock,
    IHostApplicationLifetime hub,
    ILogger<Committing> logger
) : IHostedLifecycleService, IDisposable
{
    private readonly IntakeLog log = new(logger);
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
            log.StoppedEarly();
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
        catch (Exception mistake)
        {
            log.CommittingEnded(mistake);
            Environment.ExitCode = 2;
            hub.StopApplication();
        }
    }
}
