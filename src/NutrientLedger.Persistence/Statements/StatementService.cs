using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Npgsql;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Rebuild;

namespace NutrientLedger.Persistence.Statements;

/// <summary>
/// Makes a statement for every correction once posting has passed it. It also makes those that a stopped hub left out.
/// It reads beside everything else and delays nothing. Of several hubs the one with the lock makes them.
/// </summary>
internal sealed partial class StatementService(
    NpgsqlDataSource source,
    JournalPosting posting,
    SessionLocks locks,
    TimeProvider time,
    ILogger<StatementService> log
) : BackgroundService
{
    private static readonly TimeSpan Interval = TimeSpan.FromSeconds(1);

    private readonly StatementBuilder builder = new(source, posting);
    private string? lastError;

    /// <inheritdoc/>
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        using var timer = new PeriodicTimer(Interval, time);
        do
        {
            try
            {
                await StoreAllAsync(stoppingToken);
                lastError = null;
            }
            catch (Exception e) when (!stoppingToken.IsCancellationRequested)
            {
                // A statement can wait. Ingestion and posting go on, and the next round tries again.
                if (lastError != e.Message && !DatabaseErrors.IsAway(e))
                    LogFailed(log, e.Message, Interval.TotalSeconds);
                lastError = e.Message;
            }
        } while (await timer.WaitForNextTickAsync(stoppingToken));
    }

    private async Task StoreAllAsync(CancellationToken stoppingToken)
    {
        if ((await StatementRows.PendingAsync(source, stoppingToken)).Count == 0)
            return;
        await using var mine = await locks.TryTakeAsync("statements", stoppingToken);
        if (mine is null)
            return;
        using var held = CancellationTokenSource.CreateLinkedTokenSource(stoppingToken, mine.Lost);
        // Read again under the lock: another hub may just have done the work. One farm's error does not delay another
        // farm.
        var errors = new List<Exception>();
        foreach (var (farmId, after, upTo) in await StatementRows.PendingAsync(source, held.Token))
            try
            {
                await StoreAsync(farmId, after, upTo, held.Token);
            }
            catch (Exception e) when (!held.IsCancellationRequested)
            {
                errors.Add(new InvalidOperationException($"farm {farmId}: {e.Message}", e));
            }
        if (errors.Count > 0)
            throw errors[0];
    }

    private async Task StoreAsync(string farmId, long after, long upTo, CancellationToken cancellationToken)
    {
        await foreach (var built in builder.BuildAsync(farmId, after, upTo, cancellationToken))
            await StatementRows.StoreAsync(source, farmId, built, cancellationToken);
        await using var connection = await source.OpenConnectionAsync(cancellationToken);
        await StatementRows.AdvanceAsync(connection, farmId, upTo, cancellationToken);
    }

    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "The statement of a correction cannot be built ({Cause}). It is retried every {Seconds} s."
    )]
    private static partial void LogFailed(ILogger log, string cause, double seconds);
}
