using Microsoft.Extensions.Hosting;
using Npgsql;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.DeadLetters;
using NutrientLedger.Persistence.ReadModel;

namespace NutrientLedger.Persistence.Projections;

/// <summary>How far ledgers are behind the journal, measured at the position that is posted.</summary>
/// <param name="Journal">The last position of the journal.</param>
/// <param name="Posted">The position up to which ledgers are posted.</param>
/// <param name="Events">
/// How many events lie between; at most <see cref="PostingLagMonitor.EventsCountedMax"/> are counted.
/// </param>
/// <param name="WaitingSince">When the first of them was recorded, or null when none waits.</param>
public sealed record PostingLag(long Journal, long Posted, long Events, DateTimeOffset? WaitingSince);

/// <summary>
/// What the database answered: the lag, a transaction that may be its cause, the first batches that cannot be posted,
/// and the first devices, as farm/equipment, that wait for a decision.
/// </summary>
public sealed record PostingState(
    PostingLag Lag,
    OpenTransaction? Open,
    IReadOnlyList<string> Unposted,
    IReadOnlyList<string> Undecided
);

/// <summary>
/// Asks the database every other second how far ledgers are behind, for the meter, the log and the readiness check.
/// Whoever asks joins a question that is under way, so a hanging database gets one at a time.
/// </summary>
public sealed class PostingLagMonitor(
    NpgsqlDataSource source,
    OpenTransactions transactions,
    PostingMeter meter,
    DatabaseOutage outage,
    TimeProvider time
) : BackgroundService
{
    /// <summary>Beyond it nobody needs the exact number, and counting would cost.</summary>
    public const int EventsCountedMax = 1_000_000;

    /// <summary>A question that waits for so long means that the database does not answer.</summary>
    public static readonly TimeSpan SilenceMax = TimeSpan.FromSeconds(2.5);

    private const int QuestionSecondsMax = 5;

    private const int UnpostedShown = 2;

    private const int UndecidedShown = 4;

    /// <summary>
    /// An append takes milliseconds. The rebuild of a farm, which delays no number, takes some seconds.
    /// </summary>
    private static readonly TimeSpan OpenMax = TimeSpan.FromSeconds(10);

    private static readonly TimeSpan Interval = TimeSpan.FromSeconds(2);

    private readonly Lock guard = new();
    private Task<PostingState>? question;
    private long askedAt;
    private PostingState? latest;

    /// <summary>The state now, or the latest one while a new answer is under way for a short time only.</summary>
    /// <exception cref="TimeoutException">The database does not answer.</exception>
    public async Task<PostingState> StateAsync(TimeSpan patience, CancellationToken cancellationToken)
    {
        Task<PostingState> asked;
        lock (guard)
        {
            if (question is not { IsCompleted: false })
                (question, askedAt) = (Task.Run(AskAsync, CancellationToken.None), time.GetTimestamp());
            asked = question;
        }
        try
        {
            return await asked.WaitAsync(patience, time, cancellationToken);
        }
        catch (TimeoutException) when (IsStillFresh() is { } known)
        {
            return known;
        }
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
                lag = (await StateAsync(SilenceMax, stoppingToken)).Lag;
                outage.Ended(this);
            }
            catch (Exception e) when (!stoppingToken.IsCancellationRequested)
            {
                outage.Failed(this, DatabaseErrors.Describe(e));
            }
            meter.SetLag(lag, time.GetUtcNow());
        } while (await timer.WaitForNextTickAsync(stoppingToken));
    }

    private PostingState? IsStillFresh()
    {
        lock (guard)
            return time.GetElapsedTime(askedAt) < SilenceMax ? latest : null;
    }

    private async Task<PostingState> AskAsync()
    {
        PostingState? answer = null;
        try
        {
            var lag = await ReadLagAsync();
            var open = lag.Events > 0 ? await transactions.LongestAsync(OpenMax, CancellationToken.None) : null;
            var undecided = await DecisionRows.ListAsync(source, UndecidedShown, CancellationToken.None);
            return answer = new(lag, open, await ReadUnpostedAsync(), undecided);
        }
        finally
        {
            lock (guard)
                latest = answer;
        }
    }

    private async Task<IReadOnlyList<string>> ReadUnpostedAsync()
    {
        await using var connection = await source.OpenConnectionAsync();
        var rows = await UnpostedRows.ListAsync(connection, farmId: null, UnpostedShown, CancellationToken.None);
        return [.. rows.Select(row => row.ToString())];
    }

    private async Task<PostingLag> ReadLagAsync()
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
        command.CommandTimeout = QuestionSecondsMax;
        await using var row = await command.ExecuteReaderAsync();
        await row.ReadAsync();
        return new(
            row.GetInt64(0),
            row.GetInt64(1),
            row.GetInt64(2),
            await row.IsDBNullAsync(3) ? null : row.GetFieldValue<DateTimeOffset>(3)
        );
    }
}
