using Microsoft.Extensions.Diagnostics.HealthChecks;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using MQTTnet;
using NutrientLedger.Intake.Marks;
using NutrientLedger.Store;

namespace NutrientLedger.Intake.Line;

/// <summary>A worker for each partition of an external broker, started with the hub.</summary>
internal sealed class ExternalLines(
    ExternalBroker broker,
    SessionLocks turns,
    IntakeQueue queue,
    IntakeLimits limits,
    DroppedMessages dropped,
    TimeProvider clock,
    ILogger<ExternalLines> logger
) : BackgroundService, IStoredLine
{
    public IReadOnlyList<PartitionWorker> Workers { get; } =
    [
        .. broker.Partitions.Select(partition => new PartitionWorker(
            broker,
            partition,
            turns,
            queue,
            limits,
            dropped,
            clock,
            logger
        )),
    ];

    public async Task<bool> TellAsync(
        FarmDevice device,
        MqttApplicationMessage mark,
        CancellationToken cancellationToken
    )
    {
        var worker = Workers.FirstOrDefault(worker => worker.Partition.Covers(device.FarmId));
        // Whoever has the turn tells the marks.
        if (worker is null || worker.Standing.State == PartitionState.Standby)
            return true;
        if (worker.Open is not { } line)
            return false;
        await line.PublishAsync(mark, cancellationToken);
        return true;
    }

    // Should a worker end with an exception all the same, the host stops and says so.
    protected override Task ExecuteAsync(CancellationToken stoppingToken) =>
        Task.WhenAll(Workers.Select(worker => Task.Run(() => worker.RunAsync(stoppingToken), stoppingToken)));
}

/// <summary>Intake's part in the question whether the hub is ready, with an external broker.</summary>
internal sealed class LineHealth(ExternalLines lines, DroppedMessages dropped, IntakeStatus status, IntakeQueue queue)
    : IHealthCheck
{
    public Task<HealthCheckResult> CheckHealthAsync(HealthCheckContext context, CancellationToken cancellationToken)
    {
        var facts = new Dictionary<string, object>
        {
            ["waitingMessages"] = queue.Count,
            ["queueFullness"] = Math.Round(queue.Fullness, 3),
            ["lastCommitAt"] = status.LastCommitAt?.ToString("O") ?? "never",
            ["droppedByBroker"] = dropped.Total,
        };
        var standings = lines.Workers.Select(worker => (worker.Partition.Name, worker.Standing)).ToArray();
        var words = string.Join("; ", standings.Select(own => own.Standing.Sentence(own.Name)));
        if (status.Trouble is { } trouble)
            return Answer(HealthStatus.Unhealthy, $"Messages cannot be committed: {trouble}. {words}");
        if (standings.Any(own => own.Standing.State == PartitionState.NotConnected))
            return Answer(HealthStatus.Unhealthy, words);
        return dropped.IsFresh
            ? Answer(
                HealthStatus.Degraded,
                $"The broker has dropped {dropped.Total} messages, last noticed {dropped.RoseAt:u}; raise its queue limits, and let devices send again from their stored mark. {words}"
            )
            : Answer(HealthStatus.Healthy, words);

        Task<HealthCheckResult> Answer(HealthStatus health, string why) =>
            Task.FromResult(new HealthCheckResult(health, why, data: facts));
    }
}
