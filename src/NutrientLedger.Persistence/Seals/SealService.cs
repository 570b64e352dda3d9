using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.Seals;

/// <summary>
/// Seals the journals of all farms after each day (UTC) with events, or some time after the next start. Of several hubs
/// the first one does it.
/// </summary>
internal sealed partial class SealService(SealWriter writer, TimeProvider time, ILogger<SealService> log)
    : BackgroundService
{
    /// <summary>The time from look to look, and to the first one.</summary>
    internal static readonly TimeSpan Interval = TimeSpan.FromMinutes(1);

    private DateTime? done;
    private string? lastError;

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        using var timer = new PeriodicTimer(Interval, time);
        while (await timer.WaitForNextTickAsync(stoppingToken))
        {
            var today = time.GetUtcNow().UtcDateTime.Date;
            if (done == today)
                continue;
            try
            {
                if (await writer.SealAsync(stoppingToken) is > 0 and var farms)
                    LogSealed(log, farms);
                (done, lastError) = (today, null);
            }
            catch (Exception e) when (!stoppingToken.IsCancellationRequested)
            {
                // A seal can wait. The next round tries again.
                if (lastError != e.Message && !DatabaseErrors.IsAway(e))
                    LogFailed(log, e.Message, Interval.TotalSeconds);
                lastError = e.Message;
            }
        }
    }

    [LoggerMessage(Level = LogLevel.Information, Message = "The journals of {Farms} farms are sealed")]
    private static partial void LogSealed(ILogger log, int farms);

    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "The journals cannot be sealed ({Cause}). It is tried again every {Seconds} s."
    )]
    private static partial void LogFailed(ILogger log, string cause, double seconds);
}
