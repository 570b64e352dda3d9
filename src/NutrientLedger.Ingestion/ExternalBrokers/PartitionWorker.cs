using Microsoft.Extensions.Logging;
using NutrientLedger.Ingestion.Monitoring;
using NutrientLedger.Ingestion.Queueing;
using NutrientLedger.Persistence.Database;
using Polly;
using Polly.Retry;

namespace NutrientLedger.Ingestion.ExternalBrokers;

/// <summary>
/// Receives one partition while this hub holds its lock, and waits for the lock otherwise. After any failure it starts
/// again, with a pause. Only stopping the hub ends it.
/// </summary>
internal sealed class PartitionWorker(
    ExternalBroker broker,
    Partition partition,
    SessionLocks locks,
    IngestionQueue queue,
    IngestionLimits limits,
    DroppedMessages dropped,
    TimeProvider clock,
    ILogger logger
)
{
    private static readonly TimeSpan LockPollInterval = TimeSpan.FromSeconds(1);

    private readonly IngestionLog log = new(logger);
    private PartitionStatus status = new(PartitionState.Standby, clock.GetUtcNow(), "");
    private BrokerConnection? connection;

    public Partition Partition => partition;

    public PartitionStatus Status => Volatile.Read(ref status);

    /// <summary>The open connection, or null.</summary>
    public BrokerConnection? Connection => Volatile.Read(ref connection);

    /// <summary>Messages received and not committed, and how long the oldest waits.</summary>
    public (int Messages, TimeSpan Oldest) Waiting => Connection?.Waiting ?? default;

    public async Task RunAsync(CancellationToken stop)
    {
        while (!stop.IsCancellationRequested)
            try
            {
                await using var sessionLock = await AcquireLockAsync(stop);
                using var mine = CancellationTokenSource.CreateLinkedTokenSource(stop, sessionLock.Lost);
                while (!mine.IsCancellationRequested)
                    await ServeAsync(mine.Token);
            }
            catch (Exception error) when (!stop.IsCancellationRequested)
            {
                SetStatus(
                    PartitionState.Standby,
                    error is OperationCanceledException ? "the lock was lost" : error.Message
                );
                log.PartitionInactive(partition.Name, Status.Reason);
                await PauseAsync(LockPollInterval, stop);
            }
            catch (OperationCanceledException)
            {
                return;
            }
    }

    private async Task<SessionLock> AcquireLockAsync(CancellationToken stop)
    {
        SetStatus(PartitionState.Standby, "");
        while (true)
        {
            if (await locks.TryTakeAsync($"{broker.ClientName}/{partition.ClientId}", stop) is { } sessionLock)
                return sessionLock;
            await Task.Delay(LockPollInterval, clock, stop);
        }
    }

    private async Task ServeAsync(CancellationToken mine)
    {
        if (Status.State != PartitionState.NotConnected)
            SetStatus(PartitionState.NotConnected, "connecting");
        using var brokerConnection = await ConnectRetries()
            .ExecuteAsync(
                async token =>
                    await BrokerConnection.OpenAsync(broker, partition, queue, limits, dropped, clock, token),
                mine
            );
        Volatile.Write(ref connection, brokerConnection);
        SetStatus(PartitionState.Active, "");
        log.PartitionActive(partition.Name);
        string reason;
        try
        {
            reason = await brokerConnection.RunAsync(mine);
        }
        catch (Exception error) when (!mine.IsCancellationRequested)
        {
            reason = error.Message;
        }
        finally
        {
            Volatile.Write(ref connection, null);
        }
        SetStatus(PartitionState.NotConnected, reason);
        log.PartitionInactive(partition.Name, reason);
        await PauseAsync(limits.ReconnectPause, mine);
    }

    /// <summary>
    /// Tries to connect without limit, because a broker that is away comes back. Until then it or the devices keep the
    /// messages.
    /// </summary>
    private ResiliencePipeline ConnectRetries() =>
        new ResiliencePipelineBuilder { TimeProvider = clock }
            .AddRetry(
                new RetryStrategyOptions
                {
                    ShouldHandle = new PredicateBuilder().Handle<Exception>(error =>
                        error is not OperationCanceledException { CancellationToken.IsCancellationRequested: true }
                    ),
                    MaxRetryAttempts = int.MaxValue,
                    BackoffType = DelayBackoffType.Exponential,
                    UseJitter = true,
                    Delay = limits.ReconnectPause,
                    MaxDelay = TimeSpan.FromSeconds(10),
                    OnRetry = attempt =>
                    {
                        SetStatus(PartitionState.NotConnected, attempt.Outcome.Exception!.Message);
                        if (attempt.AttemptNumber == 0)
                            log.PartitionInactive(partition.Name, Status.Reason);
                        return ValueTask.CompletedTask;
                    },
                }
            )
            .Build();

    private async Task PauseAsync(TimeSpan pause, CancellationToken stop) =>
        await Task.Delay(pause, clock, stop).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);

    private void SetStatus(PartitionState state, string reason)
    {
        var since = Status.State == state ? Status.Since : clock.GetUtcNow();
        Volatile.Write(ref status, new(state, since, reason));
    }
}
