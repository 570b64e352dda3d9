using Marten.Events.Daemon.Coordination;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Npgsql;
using NutrientLedger.Persistence.Projections;
using NutrientLedger.Persistence.ReadModel;
using NutrientLedger.Persistence.Scheduling;

namespace NutrientLedger.Persistence.Rebuild;

/// <summary>
/// Posts corrections into a shadow generation. It begins when the configuration of a farm changed so that its lines
/// change. The new generation is made from copies of what is not affected, while everybody reads the old one. Then it
/// switches. It runs in the hub that posts, one at a time for a farm, over all hubs. If it is killed anywhere, the old
/// or the new generation is read. The next hub cleans up and begins again.
/// </summary>
internal sealed partial class CorrectionService(
    NpgsqlDataSource source,
    PostingTurn turn,
    RightOfWay way,
    BesideThreads threads,
    IProjectionCoordinator projections,
    PostingMeter meter,
    TimeProvider time,
    ILogger<CorrectionService> log
) : BackgroundService
{
    private static readonly TimeSpan PollInterval = TimeSpan.FromMilliseconds(500);
    private static readonly TimeSpan RetryAfter = TimeSpan.FromSeconds(2);

    /// <summary>So many positions are caught up inside the switch. More are caught up before it.</summary>
    private const long CatchUpMax = 500;

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        var cleared = false;
        while (!stoppingToken.IsCancellationRequested)
        {
            try
            {
                await turn.PageCommittedAsync(PollInterval, stoppingToken);
                if (projections.DaemonForMainDatabase().CurrentAgents().Count == 0)
                    continue;
                if (!cleared)
                {
                    // The lock of a dead hub is free only when the server has noticed. Until then this looks again.
                    var orphaned = await GenerationRows.OrphanedAsync(source, stoppingToken);
                    foreach (var farmId in orphaned)
                        await using (
                            await BesideGeneration.BeginAsync(source, way, threads, farmId, false, stoppingToken)
                        ) { }
                    cleared = orphaned.Count == 0;
                }
                foreach (var farmId in await GenerationRows.AwaitingCorrectionAsync(source, stoppingToken))
                    await threads.RunAsync(() => CorrectAsync(farmId, stoppingToken), stoppingToken);
            }
            catch (Exception) when (stoppingToken.IsCancellationRequested)
            {
                return;
            }
            catch (Exception e)
            {
                LogFailed(log, e, RetryAfter.TotalSeconds);
                await Task.Delay(RetryAfter, time, stoppingToken);
            }
        }
    }

    private async Task CorrectAsync(string farmId, CancellationToken cancellationToken)
    {
        var since = time.GetTimestamp();
        await using var beside = await BesideGeneration.BeginAsync(
            source,
            way,
            threads,
            farmId,
            underWantedConfiguration: true,
            cancellationToken
        );
        if (beside is null || !beside.Live.IsBeingCorrected)
            return;
        if (!await TouchedPosting.RunAsync(beside, cancellationToken))
            await beside.PostAsync(beside.Live.Position, progress: null, cancellationToken);
        while (
            await GenerationRows.CurrentAsync(beside.Connection, farmId, cancellationToken) is { } now
            && now.Position - beside.Position > CatchUpMax
        )
            await beside.PostAsync(now.Position, progress: null, cancellationToken);
        var switched = false;
        // Event batches wait meanwhile, so this does not run at idle priority.
        await Task.Run(
            () =>
                turn.BetweenPagesAsync(
                    async () => switched = await beside.SwitchAsync(cancellationToken),
                    cancellationToken
                ),
            cancellationToken
        );
        if (!switched)
            return;
        meter.Rebuilt(beside.Packs);
        var seconds = time.GetElapsedTime(since).TotalSeconds;
        LogCorrected(log, farmId, beside.ConfigurationPosition, beside.Packs, seconds);
        await beside.DropAllButAsync(beside.Generation, cancellationToken);
    }

    [LoggerMessage(
        Level = LogLevel.Information,
        Message = "The ledger of {Farm} is corrected to configuration position {Position}: {Batches} batches posted in {Seconds:0.00} s"
    )]
    private static partial void LogCorrected(ILogger log, string farm, long position, long batches, double seconds);

    [LoggerMessage(
        Level = LogLevel.Error,
        Message = "A correction could not be posted. It is retried in {Seconds} s; until then the previous ledger is read."
    )]
    private static partial void LogFailed(ILogger log, Exception error, double seconds);
}
