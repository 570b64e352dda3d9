using Microsoft.Extensions.Logging;
using NutrientLedger.Store;
using Polly;
using Polly.Retry;

namespace NutrientLedger.Intake.Line;

/// <summary>
/// Takes one partition in for as long as it is this hub's turn, and waits for the turn otherwise. Whatever goes wrong, it begins
/// again after a pause; nothing but the hub's stop ends it.
/// </summary>
internal sealed class PartitionWorker(
    ExternalBroker broker,
    Partition partition,
    SessionLocks turns,
    IntakeQueue queue,
    IntakeLimits limits,
    DroppedMessages dropped,
    TimeProvider clock,
    ILogger logger
)
{
    private static readonly TimeSpan LookForTurnEvery = TimeSpan.FromSeconds(1);

    private readonly IntakeLog log = new(logger);
    private PartitionStanding standing = new(PartitionState.Standby, clock.GetUtcNow(), "");
    private BrokerLine? open;

    public Partition Partition => partition;

    public PartitionStanding Standing => Volatile.Read(ref standing);

    /// <summary>The line that is open at the moment, or nothing.</summary>
    public BrokerLine? Open => Volatile.Read(ref open);

    public async Task RunAsync(CancellationToken stop)
    {
        while (!stop.IsCancellationRequested)
            try
            {
                await using var turn = await TurnAsync(stop);
                using var mine = CancellationTokenSource.CreateLinkedTokenSource(stop, turn.Lost);
                while (!mine.IsCancellationRequested)
                    await ServeAsync(mine.Token);
            }
            catch (Exception trouble) when (!stop.IsCancellationRequested)
            {
                Stand(
                    PartitionState.Standby,
                    trouble is OperationCanceledException ? "the turn was lost" : trouble.Message
                );
                log.PartitionTrouble(partition.Name, Standing.Why);
                await PauseAsync(LookForTurnEvery, stop);
            }
            catch (OperationCanceledException)
            {
                return;
            }
    }

    private async Task<SessionLock> TurnAsync(CancellationToken stop)
    {
        Stand(PartitionState.Standby, "");
        while (true)
        {
            if (await turns.TryTakeAsync($"{broker.ClientName}/{partition.ClientId}", stop) is { } turn)
                return turn;
            await Task.Delay(LookForTurnEvery, clock, stop);
        }
    }

    private async Task ServeAsync(CancellationToken mine)
    {
        if (Standing.State != PartitionState.NotConnected)
            Stand(PartitionState.NotConnected, "connecting");
        using var line = await Reconnecting()
            .ExecuteAsync(
                async token => await BrokerLine.OpenAsync(broker, partition, queue, limits, dropped, clock, token),
                mine
            );
        Volatile.Write(ref open, line);
        Stand(PartitionState.Active, "");
        log.PartitionActive(partition.Name);
        string why;
        try
        {
            why = await line.RunAsync(mine);
        }
        catch (Exception trouble) when (!mine.IsCancellationRequested)
        {
            why = trouble.Message;
        }
        finally
        {
            Volatile.Write(ref open, null);
        }
        Stand(PartitionState.NotConnected, why);
        log.PartitionTrouble(partition.Name, why);
        await PauseAsync(limits.ReconnectPause, mine);
    }

    /// <summary>Tries to connect for ever: a broker that is away comes back, and until then it or the devices keep the messages.</summary>
    private ResiliencePipeline Reconnecting() =>
        new ResiliencePipelineBuilder { TimeProvider = clock }
            .AddRetry(
                new RetryStrategyOptions
                {
                    ShouldHandle = new PredicateBuilder().Handle<Exception>(trouble =>
                        trouble is not OperationCanceledException { CancellationToken.IsCancellationRequested: true }
                    ),
                    MaxRetryAttempts = int.MaxValue,
                    BackoffType = DelayBackoffType.Exponential,
                    UseJitter = true,
                    Delay = limits.ReconnectPause,
                    MaxDelay = TimeSpan.FromSeconds(10),
                    OnRetry = attempt =>
                    {
                        Stand(PartitionState.NotConnected, attempt.Outcome.Exception!.Message);
                        if (attempt.AttemptNumber == 0)
                            log.PartitionTrouble(partition.Name, Standing.Why);
                        return ValueTask.CompletedTask;
                    },
                }
            )
            .Build();

    private async Task PauseAsync(TimeSpan pause, CancellationToken stop) =>
        await Task.Delay(pause, clock, stop).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);

    private void Stand(PartitionState state, string why)
    {
        var since = Standing.State == state ? Standing.Since : clock.GetUtcNow();
        Volatile.Write(ref standing, new(state, since, why));
    }
}
