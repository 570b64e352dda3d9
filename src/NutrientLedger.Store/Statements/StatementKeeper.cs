using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Npgsql;

namespace NutrientLedger.Store;

/// <summary>
/// Makes a statement for every correction once posting has passed it, also for those that an earlier hub was stopped before. It reads
/// beside everything else and holds nothing up; of several hubs the one with the lock makes them.
/// </summary>
public sealed partial class StatementKeeper(
    NpgsqlDataSource source,
    SessionLocks locks,
    RightOfWay way,
    BesideThreads threads,
    TimeProvider time,
    ILogger<StatementKeeper> log
) : BackgroundService
{
    private static readonly TimeSpan Pause = TimeSpan.FromSeconds(1);

    private readonly StatementMaker maker = new(source, way);
    private string? trouble;

    /// <inheritdoc/>
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        using var turn = new PeriodicTimer(Pause, time);
        do
        {
            try
            {
                await threads.RunAsync(() => KeepAllAsync(stoppingToken), stoppingToken);
                trouble = null;
            }
            catch (Exception e) when (!stoppingToken.IsCancellationRequested)
            {
                // A statement can wait; intake and posting go on, and the next turn tries again.
                if (trouble != e.Message)
                    LogWaiting(log, e.Message, Pause.TotalSeconds);
                trouble = e.Message;
            }
        } while (await turn.WaitForNextTickAsync(stoppingToken));
    }

    private async Task KeepAllAsync(CancellationToken stoppingToken)
    {
        if ((await StatementRows.WaitingAsync(source, stoppingToken)).Count == 0)
            return;
        await using var mine = await locks.TryTakeAsync("statements", stoppingToken);
        if (mine is null)
            return;
        using var held = CancellationTokenSource.CreateLinkedTokenSource(stoppingToken, mine.Lost);
        // Asked again under the lock: another hub may just have done the work. One farm's trouble keeps no other farm waiting.
        var troubles = new List<Exception>();
        foreach (var (farmId, after, upTo) in await StatementRows.WaitingAsync(source, held.Token))
            try
            {
                await KeepAsync(farmId, after, upTo, held.Token);
            }
            catch (Exception e) when (!held.IsCancellationRequested)
            {
                troubles.Add(new InvalidOperationException($"farm {farmId}: {e.Message}", e));
            }
        if (troubles.Count > 0)
            throw troubles[0];
    }

    private async Task KeepAsync(string farmId, long after, long upTo, CancellationToken cancellationToken)
    {
        await foreach (var made in maker.MakeAsync(farmId, after, upTo, cancellationToken))
            await StatementRows.KeepAsync(source, farmId, made, cancellationToken);
        await using var connection = await source.OpenConnectionAsync(cancellationToken);
        await StatementRows.MarkAsync(connection, farmId, upTo, cancellationToken);
    }

    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "A statement of a correction cannot be made ({Cause}); it is tried again every {Seconds} s"
    )]
    private static partial void LogWaiting(ILogger log, string cause, double seconds);
}
