using Marten.Events.Daemon.Coordination;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Npgsql;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Projections;
using NutrientLedger.Persistence.ReadModel;

namespace NutrientLedger.Persistence.Rebuild;

/// <summary>
/// Posts corrections. It begins when the configuration of a farm changed so that lines change. The partitions that the
/// change concerns are posted again beside those that are read, and all are switched at once. It runs in the hub that
/// posts, one at a time for a farm, over all hubs. If it is killed anywhere, the old or the new generation is read. The
/// next hub cleans up and begins again.
/// </summary>
internal sealed partial class CorrectionService(
    NpgsqlDataSource source,
    JournalPosting posting,
    PostingTurn turn,
    IProjectionCoordinator projections,
    PostingMeter meter,
    FailingCorrections failing,
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
                {
                    // Another hub corrects, and knows what fails.
                    failing.Are([]);
                    continue;
                }
                if (!cleared)
                    cleared = await ClearAsync(stoppingToken);
                var failed = new List<FailingCorrection>();
                foreach (var farmId in await PostedFarmRows.AwaitingCorrectionAsync(source, stoppingToken))
                    if (await TryCorrectAsync(farmId, stoppingToken) is { } reason)
                        failed.Add(new(farmId, reason));
                failing.Are(failed);
                if (failed.Count > 0)
                    await Task.Delay(RetryAfter, time, stoppingToken);
            }
            catch (Exception) when (stoppingToken.IsCancellationRequested)
            {
                return;
            }
            catch (Exception e)
            {
                // An outage is logged by who watches the database.
                if (!DatabaseErrors.IsAway(e))
                    LogFailed(log, e, "farms", RetryAfter.TotalSeconds);
                await Task.Delay(RetryAfter, time, stoppingToken);
            }
        }
    }

    /// <summary>
    /// Deletes the rows that a killed hub left. Its lock is free only when the server has noticed; until then this is
    /// false.
    /// </summary>
    private async Task<bool> ClearAsync(CancellationToken cancellationToken)
    {
        var left = await PostedFarmRows.WithShadowRowsAsync(source, cancellationToken);
        foreach (var farmId in left)
            await using (var shadow = await BeginAsync(farmId, underWantedConfiguration: false, cancellationToken))
                if (shadow is not null)
                    await shadow.DropUnreadAsync(cancellationToken);
        return left.Count == 0;
    }

    /// <summary>Why it failed, or null. One farm's error must not keep others from being corrected.</summary>
    private async Task<string?> TryCorrectAsync(string farmId, CancellationToken cancellationToken)
    {
        try
        {
            await CorrectAsync(farmId, cancellationToken);
            return null;
        }
        catch (Exception e) when (!DatabaseErrors.IsAway(e) && !cancellationToken.IsCancellationRequested)
        {
            LogFailed(log, e, farmId, RetryAfter.TotalSeconds);
            return e.Message;
        }
    }

    private async Task CorrectAsync(string farmId, CancellationToken cancellationToken)
    {
        var since = time.GetTimestamp();
        await using var shadow = await BeginAsync(farmId, underWantedConfiguration: true, cancellationToken);
        if (shadow is null)
            return;
        var switched = false;
        try
        {
            if (shadow.Live.IsBeingCorrected)
                switched = await PostAsync(shadow, cancellationToken);
        }
        finally
        {
            if (shadow.Connection.State == System.Data.ConnectionState.Open)
                await shadow.DropUnreadAsync(CancellationToken.None);
        }
        if (!switched)
            return;
        meter.Rebuilt(shadow.Batches);
        var seconds = time.GetElapsedTime(since).TotalSeconds;
        LogCorrected(log, farmId, shadow.ConfigurationPosition, shadow.Batches, seconds);
    }

    private async Task<bool> PostAsync(ShadowPosting shadow, CancellationToken cancellationToken)
    {
        var live = shadow.Live;
        var correction = await PendingCorrection.ReadAsync(
            new(source),
            live.FarmId,
            live.ConfigurationPosition,
            live.WantedPosition,
            cancellationToken
        );
        shadow.Choose(await NeededAsync());
        await shadow.PostAsync(live.Position, progress: null, cancellationToken);
        while (
            await PostedFarmRows.ReadAsync(shadow.Connection, live.FarmId, cancellationToken) is { } now
            && now.Position - shadow.Position > CatchUpMax
        )
            await shadow.PostAsync(now.Position, progress: null, cancellationToken);
        var switched = false;
        await turn.BetweenPagesAsync(
            async () => switched = await shadow.SwitchAsync(NeededAsync, cancellationToken),
            cancellationToken
        );
        return switched;

        Task<PartitionSet> NeededAsync() =>
            correction.PartitionsAsync(shadow.Connection, live.FarmId, cancellationToken);
    }

    private Task<ShadowPosting?> BeginAsync(
        string farmId,
        bool underWantedConfiguration,
        CancellationToken cancellationToken
    ) => ShadowPosting.BeginAsync(source, posting, farmId, underWantedConfiguration, cancellationToken);

    [LoggerMessage(
        Level = LogLevel.Information,
        Message = "The ledger of {Farm} is corrected to configuration position {Position}: {Batches} batches posted in {Seconds:0.00} s"
    )]
    private static partial void LogCorrected(ILogger log, string farm, long position, long batches, double seconds);

    [LoggerMessage(
        Level = LogLevel.Error,
        Message = "A correction of {Farm} could not be posted. It is retried in {Seconds} s; until then the previous ledger is read."
    )]
    private static partial void LogFailed(ILogger log, Exception error, string farm, double seconds);
}
