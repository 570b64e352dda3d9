using Microsoft.Extensions.Diagnostics.HealthChecks;
using NutrientLedger.Ingestion.Queueing;

namespace NutrientLedger.Ingestion.Monitoring;

/// <summary>The current state of ingestion: whether the broker runs and when messages were last committed.</summary>
internal sealed class IngestionStatus
{
    private long lastCommitTicks;
    private string? commitError;

    /// <summary>Whether devices can connect.</summary>
    public bool BrokerStarted { get; internal set; }

    /// <summary>When messages were last committed since the hub started; null before the first commit.</summary>
    public DateTimeOffset? LastCommitAt =>
        Interlocked.Read(ref lastCommitTicks) is > 0 and var ticks ? new DateTimeOffset(ticks, TimeSpan.Zero) : null;

    /// <summary>Why messages cannot be committed now, or null.</summary>
    public string? CommitError => Volatile.Read(ref commitError);

    internal void Committed(DateTimeOffset at)
    {
        Interlocked.Exchange(ref lastCommitTicks, at.UtcTicks);
        Volatile.Write(ref commitError, null);
    }

    internal void CommitFailed(string reason) => Volatile.Write(ref commitError, reason);
}

/// <summary>The readiness check of ingestion with the embedded broker.</summary>
internal sealed class IngestionHealth(IngestionStatus status, IngestionQueue queue, QuotaTracker quota) : IHealthCheck
{
    public Task<HealthCheckResult> CheckHealthAsync(HealthCheckContext context, CancellationToken cancellationToken)
    {
        var facts = new Dictionary<string, object>
        {
            ["brokerStarted"] = status.BrokerStarted,
            ["waitingMessages"] = queue.Count,
            ["queueFullness"] = Math.Round(queue.Fullness, 3),
            ["lastCommitAt"] = status.LastCommitAt?.ToString("O") ?? "never",
            ["overQuota"] = quota.Messages,
        };
        return Task.FromResult(
            !status.BrokerStarted ? HealthCheckResult.Unhealthy("The broker is not started.", data: facts)
            : status.CommitError is { } error
                ? HealthCheckResult.Unhealthy($"Messages cannot be committed: {error}", data: facts)
            : quota.Trouble is { } trouble ? HealthCheckResult.Degraded(trouble, data: facts)
            : HealthCheckResult.Healthy(data: facts)
        );
    }
}
