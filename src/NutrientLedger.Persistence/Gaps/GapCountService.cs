using Microsoft.Extensions.Hosting;
using Npgsql;
using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Persistence.Gaps;

/// <summary>How many gaps the numbers of all farms have, and how many readings they lack.</summary>
internal sealed record GapCounts(long Gaps, long Readings);

/// <summary>
/// Counts the gaps for the meter every ten seconds. Those of other hubs on the same database are included.
/// </summary>
internal sealed class GapCountService(NpgsqlDataSource source, GapReporter reporter, TimeProvider time)
    : BackgroundService
{
    private static readonly TimeSpan Interval = TimeSpan.FromSeconds(10);

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        using var timer = new PeriodicTimer(Interval, time);
        try
        {
            do reporter.SetCounts(await CountAsync(stoppingToken));
            while (await timer.WaitForNextTickAsync(stoppingToken));
        }
        catch (OperationCanceledException)
        {
            reporter.SetCounts(null);
        }
    }

    private async Task<GapCounts?> CountAsync(CancellationToken cancellationToken)
    {
        try
        {
            var (gaps, readings) = await ReceivedRangeRows.CountGapsAsync(source, cancellationToken);
            return new(gaps, readings);
        }
        catch (Exception) when (!cancellationToken.IsCancellationRequested)
        {
            // Others report that the database does not answer.
            return null;
        }
    }
}
