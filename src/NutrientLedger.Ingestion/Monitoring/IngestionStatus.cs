using Microsoft.Extensions.Diagnostics.HealthChecks;
using NutrientLedger.Ingestion.Queueing;

namespace NutrientLedger.Ingestion.Monitoring;

/// <summary>How intake stands at the moment: whether the broker listens, how full the queue is, when the last commit was.</summary>
public sealed class IngestionStatus
{
    private long lastCommitTicks;
    private string? commitError;

    /// <summary>Whether devices can connect.</summary>
    public bool BrokerStarted { get; internal set; }

    /// <summary>When messages were last committed since the hub started; nothing before the first time.</summary>
    public DateTimeOffset? LastCommitAt =>
        Interlocked.Read(ref lastCommitTicks) is > 0 and var ticks ? new DateTimeOffset(ticks, TimeSpan.Zero) : null;

    /// <summary>Why messages cannot be committed at the moment, or nothing.</summary>
    public string? CommitError => Volatile.Read(ref commitError);

    internal void Committed(DateTimeOffset at)
    {
        Interlocked.Exchange(ref lastCommitTicks, at.UtcTicks);
        Volatile.Write(ref commitError, null);
    }

    internal void CommitFailed(string reason) => Volatile.Write(ref commitError, reason);
}

/// <summary>Intake's part in the question whether the hub is ready.</summary>
internal sealed class IngestionHealth(IngestionStatus status, IngestionQueue queue) : IHealthCheck
{
    public Task<HealthCheckResult> CheckHealthAsync(HealthCheckContext context, CancellationToken cancellationToken)
    {
        var facts = new Dictionary<string, object>
        {
            ["brokerStarted"] = status.BrokerStarted,
            ["waitingMessages"] = queue.Count,
            ["queueFullness"] = Math.Round(queue.Fullness, 3),
            ["lastCommitAt"] = status.LastCommitAt?.ToString("O") ?? "never",
        };
        return Task.FromResult(
            !status.BrokerStarted ? HealthCheckResult.Unhealthy("The broker is not started.", data: facts)
            : status.CommitError is { } error
                ? HealthCheckResult.Unhealthy($"Messages cannot be committed: {error}", data: facts)
            : HealthCheckResult.Healthy(data: facts)
        );
    }
}
