using Microsoft.Extensions.Hosting;
using Npgsql;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.Projections;

/// <summary>How far ledgers are behind the journal, measured at the position that is posted.</summary>
/// <param name="Journal">The last position of the journal.</param>
/// <param name="Posted">The position up to which ledgers are posted.</param>
/// <param name="Events">
/// How many events lie between; at most <see cref="PostingLagMonitor.EventsCountedMax"/> are counted.
/// </param>
/// <param name="WaitingSince">When the first of them was recorded, or null when none waits.</param>
public sealed record PostingLag(long Journal, long Posted, long Events, DateTimeOffset? WaitingSince);

/// <summary>Measures every other second how far ledgers are behind, for the meter.</summary>
public sealed class PostingLagMonitor(NpgsqlDataSource source, PostingMeter meter, TimeProvider time)
    : BackgroundService
{
    /// <summary>Beyond it nobody needs the exact number, and counting would cost.</summary>
    public const int EventsCountedMax = 1_000_000;

    private static readonly TimeSpan Interval = TimeSpan.FromSeconds(2);

    /// <summary>How far ledgers are behind now.</summary>
    public async Task<PostingLag> ReadLagAsync(CancellationToken cancellationToken)
    {
        await using var command = source.Command(
            $"""
            with posted as (select coalesce((select posted_position from journal.progress limit 1), 0) as position)
            select coalesce((select max(position) from journal.event), 0), posted.position,
                (select count(*) from (select 1 from journal.event
                    where event.position > posted.position limit {EventsCountedMax}) as waiting),
                (select recorded_at from journal.event where event.position > posted.position
                    order by event.position limit 1)
            from posted
            """
        );
        await using var row = await command.ExecuteReaderAsync(cancellationToken);
        await row.ReadAsync(cancellationToken);
        return new(
            row.GetInt64(0),
            row.GetInt64(1),
            row.GetInt64(2),
            await row.IsDBNullAsync(3, cancellationToken) ? null : row.GetFieldValue<DateTimeOffset>(3)
        );
    }

    /// <inheritdoc/>
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        using var timer = new PeriodicTimer(Interval, time);
        do
        {
            PostingLag? lag = null;
            try
            {
                lag = await ReadLagAsync(stoppingToken);
            }
            catch (Exception e) when (e is NpgsqlException or IOException or TimeoutException)
            {
                // The health check and the ingestion report a database that does not answer. Here it only means "not
                // known".
            }
            meter.SetLag(lag, time.GetUtcNow());
        } while (await timer.WaitForNextTickAsync(stoppingToken));
    }
}
