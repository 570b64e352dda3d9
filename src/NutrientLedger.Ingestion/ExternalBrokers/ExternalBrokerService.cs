using Microsoft.Extensions.Diagnostics.HealthChecks;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using MQTTnet;
using NutrientLedger.Ingestion.Monitoring;
using NutrientLedger.Ingestion.Queueing;
using NutrientLedger.Ingestion.Watermarks;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Ingestion.ExternalBrokers;

/// <summary>Runs one worker for each partition of an external broker, started with the hub.</summary>
internal sealed class ExternalBrokerService(
    ExternalBroker broker,
    SessionLocks locks,
    IngestionQueue queue,
    IngestionLimits limits,
    DroppedMessages dropped,
    TimeProvider clock,
    ILogger<ExternalBrokerService> logger
) : BackgroundService, IWatermarkPublisher
{
    public IReadOnlyList<PartitionWorker> Workers { get; } =
    [
        .. broker.Partitions.Select(partition => new PartitionWorker(
            broker,
            partition,
            locks,
            queue,
            limits,
            dropped,
            clock,
            logger
        )),
    ];

    public async Task<bool> PublishAsync(
        FarmDevice device,
        MqttApplicationMessage watermark,
        CancellationToken cancellationToken
    )
    {
        var worker = Workers.FirstOrDefault(worker => worker.Partition.Covers(device.FarmId));
        // The hub that is active on the partition publishes its watermarks.
        if (worker is null || worker.Status.State == PartitionState.Standby)
            return true;
        if (worker.Connection is not { } connection)
            return false;
        await connection.PublishAsync(watermark, cancellationToken);
        return true;
    }

    // If a worker ends with an exception all the same, the host logs it and stops.
    protected override Task ExecuteAsync(CancellationToken stoppingToken) =>
        Task.WhenAll(Workers.Select(worker => Task.Run(() => worker.RunAsync(stoppingToken), stoppingToken)));
}

/// <summary>The readiness check of ingestion with an external broker.</summary>
internal sealed class ExternalBrokerHealth(
    ExternalBrokerService service,
    DroppedMessages dropped,
    IngestionStatus status,
    IngestionQueue queue,
    QuotaTracker quota
) : IHealthCheck
{
    /// <summary>A commit takes well under a second, so a message that waits longer than this shows a fault.</summary>
    private static readonly TimeSpan BehindMin = TimeSpan.FromSeconds(5);

    public Task<HealthCheckResult> CheckHealthAsync(HealthCheckContext context, CancellationToken cancellationToken)
    {
        var facts = new Dictionary<string, object>
        {
            ["waitingMessages"] = queue.Count,
            ["queueFullness"] = Math.Round(queue.Fullness, 3),
            ["lastCommitAt"] = status.LastCommitAt?.ToString("O") ?? "never",
            ["droppedByBroker"] = dropped.Total,
            ["overQuota"] = quota.Messages,
            ["receivedNotCommitted"] = service.Workers.Sum(worker => worker.Waiting.Messages),
            ["waitingInBroker"] = "not known",
        };
        var statuses = service.Workers.Select(worker => (worker.Partition.Name, worker.Status)).ToArray();
        var words = string.Join("; ", statuses.Select(own => own.Status.Sentence(own.Name)));
        if (status.CommitError is { } error)
            return Answer(HealthStatus.Unhealthy, $"Messages cannot be committed: {error}. {words}");
        if (statuses.Any(own => own.Status.State == PartitionState.NotConnected))
            return Answer(HealthStatus.Unhealthy, words);
        var (waiting, oldest) = service.Workers.Select(worker => worker.Waiting).MaxBy(own => own.Oldest);
        if (oldest > BehindMin)
            return Answer(
                HealthStatus.Degraded,
                $"Behind: {waiting} messages are received and not committed, the oldest for {oldest.TotalSeconds:0} s. {words}"
            );
        if (quota.Trouble is { } trouble)
            return Answer(HealthStatus.Degraded, $"{trouble} {words}");
        return dropped.IsRecent
            ? Answer(
                HealthStatus.Degraded,
                $"The broker has dropped {dropped.Total} messages, last noticed {dropped.RoseAt:u}; raise its queue limits. Devices send them again from their acknowledgement watermark. {words}"
            )
            : Answer(HealthStatus.Healthy, words);

        Task<HealthCheckResult> Answer(HealthStatus health, string reason) =>
            Task.FromResult(new HealthCheckResult(health, reason, data: facts));
    }
}
