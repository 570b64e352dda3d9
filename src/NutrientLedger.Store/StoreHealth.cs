using Marten.Events.Daemon.Coordination;
using Microsoft.Extensions.Diagnostics.HealthChecks;
using Npgsql;
using NutrientLedger.Agronomy.Written;

namespace NutrientLedger.Store;

/// <summary>
/// Whether the database answers and ledgers are being kept current, by this hub or another, and how far they are behind.
/// </summary>
public sealed class StoreHealth(
    PostingWatch watch,
    IProjectionCoordinator projections,
    OpenTransactions transactions,
    TimeProvider time
) : IHealthCheck
{
    /// <summary>Posting takes milliseconds, a farm posted anew some seconds; what waits longer than this waits for nobody.</summary>
    private static readonly TimeSpan WaitingMax = TimeSpan.FromMinutes(2);

    /// <summary>An append takes milliseconds; posting a farm anew, which holds no number back, some seconds.</summary>
    private static readonly TimeSpan OpenMax = TimeSpan.FromSeconds(10);

    /// <summary>Whoever asks for health gets an answer also when the database hangs.</summary>
    private static readonly TimeSpan AnswerMax = TimeSpan.FromSeconds(3);

    public async Task<HealthCheckResult> CheckHealthAsync(
        HealthCheckContext context,
        CancellationToken cancellationToken = default
    )
    {
        using var patience = new CancellationTokenSource(AnswerMax, time);
        using var either = CancellationTokenSource.CreateLinkedTokenSource(patience.Token, cancellationToken);
        try
        {
            return await JudgeAsync(await watch.LookAsync(either.Token).WaitAsync(either.Token), either.Token);
        }
        catch (OperationCanceledException) when (patience.IsCancellationRequested)
        {
            return Away($"it said nothing for {AnswerMax.TotalSeconds} seconds");
        }
        catch (Exception e) when (e is NpgsqlException or IOException or TimeoutException)
        {
            return Away(e.Message);
        }
    }

    /// <summary>What an open transaction does to posting, and what to do about it.</summary>
    internal static string Reason(OpenTransaction open, string state) =>
        FormattableString.Invariant(
            $"A transaction open for {open.OpenSeconds:0} s by process {open.ProcessId} (\"{open.Application}\") holds posting back ({state}). Nothing is lost; end it there, or with select pg_terminate_backend({open.ProcessId})."
        );

    private async Task<HealthCheckResult> JudgeAsync(PostingLag lag, CancellationToken cancellationToken)
    {
        var state = FormattableString.Invariant(
            $"journal at {lag.Journal}, ledgers posted to {lag.Posted}, {Counted.Of(lag.Entries, "entry", "entries")} to post"
        );
        if (projections.DaemonForMainDatabase().HasAnyPaused())
            return HealthCheckResult.Unhealthy(
                $"Posting has stopped and is tried again by itself ({state}). Nothing is lost; if it stays so, an entry cannot be read or posted, and the log says why."
            );
        if (
            lag.Entries > 0
            && await transactions.LongestAsync(OpenMax, cancellationToken).WaitAsync(cancellationToken) is { } open
        )
            return HealthCheckResult.Degraded(Reason(open, state));
        if (lag.WaitingSince is { } since && time.GetUtcNow() - since > WaitingMax)
            return HealthCheckResult.Unhealthy(
                $"Ledgers have not moved on since {since:u} ({state}). Nothing is lost; look for the cause in the log of the hub that posts, then start it again."
            );
        return HealthCheckResult.Healthy(state);
    }

    private static HealthCheckResult Away(string why) =>
        HealthCheckResult.Unhealthy(
            $"The database does not answer: {why.TrimEnd('.')}. Devices keep what they send until it does; see that PostgreSQL runs and can be reached."
        );
}
