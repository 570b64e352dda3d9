using Marten.Events.Daemon.Coordination;
using Microsoft.Extensions.Diagnostics.HealthChecks;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Projections;
using NutrientLedger.Persistence.ReadModel;

namespace NutrientLedger.Persistence;

/// <summary>Whether the database answers and a hub keeps the ledgers current, and how far they are behind.</summary>
public sealed class PersistenceHealth(
    PostingLagMonitor watch,
    IProjectionCoordinator projections,
    FailingCorrections corrections,
    TimeProvider time
) : IHealthCheck
{
    /// <summary>
    /// Posting takes milliseconds, the rebuild of a farm some seconds. What waits longer than this is stuck.
    /// </summary>
    private static readonly TimeSpan WaitingMax = TimeSpan.FromMinutes(2);

    /// <summary>The health check answers in this time also when the database hangs.</summary>
    private static readonly TimeSpan AnswerMax = TimeSpan.FromSeconds(0.5);

    public async Task<HealthCheckResult> CheckHealthAsync(
        HealthCheckContext context,
        CancellationToken cancellationToken = default
    )
    {
        try
        {
            return Check(await watch.StateAsync(AnswerMax, cancellationToken));
        }
        catch (Exception e) when (!cancellationToken.IsCancellationRequested)
        {
            return Unreachable(DatabaseErrors.Describe(e));
        }
    }

    /// <summary>What an open transaction does to posting, and what to do about it.</summary>
    internal static string Reason(OpenTransaction open, string state) =>
        FormattableString.Invariant(
            $"A transaction open for {open.OpenSeconds:0} s by process {open.ProcessId} (\"{open.Application}\") holds posting back ({state}). Nothing is lost; end it there, or with select pg_terminate_backend({open.ProcessId})."
        );

    private HealthCheckResult Check(PostingState known)
    {
        var (lag, open, unposted, undecided) = known;
        var state = FormattableString.Invariant(
            $"journal at {lag.Journal}, ledgers posted to {lag.Posted}, events to post: {lag.Events}"
        );
        if (projections.DaemonForMainDatabase().HasAnyPaused())
            return HealthCheckResult.Unhealthy(
                $"Posting has stopped and is retried ({state}). Nothing is lost. If it does not recover, an event of a farm's configuration cannot be read; see the log."
            );
        if (corrections.First is ({ } farm, { } reason))
            return HealthCheckResult.Unhealthy(
                $"The correction of {farm} fails and is tried again ({state}). Until then its ledger before the correction is read. Other farms go on. {reason.TrimEnd('.')}. See the log."
            );
        if (open is not null)
            return HealthCheckResult.Degraded(Reason(open, state));
        if (lag.WaitingSince is { } since && time.GetUtcNow() - since > WaitingMax)
            return HealthCheckResult.Unhealthy(
                $"Ledgers have not moved on since {since:u} ({state}). Nothing is lost; look for the cause in the log of the hub that posts, then start it again."
            );
        if (unposted.Count > 0)
            return HealthCheckResult.Degraded(
                $"{unposted[0]}. {(unposted.Count > 1 ? "There are more, see verify. " : "")}Amounts of the farm are minimums. {UnpostedRows.WhatToDo} ({state})"
            );
        return undecided.Count > 0
            ? HealthCheckResult.Degraded(
                $"Sends other readings under known numbers, so its messages wait for a decision: {string.Join(", ", undecided.Take(3))}{(undecided.Count > 3 ? " and more" : "")}. The devices of the farm say what to do. ({state})"
            )
            : HealthCheckResult.Healthy(state);
    }

    private static HealthCheckResult Unreachable(string reason) =>
        HealthCheckResult.Unhealthy(
            $"The database is unavailable: {reason}. Devices keep their readings meanwhile. Check that PostgreSQL runs and can be reached."
        );
}
