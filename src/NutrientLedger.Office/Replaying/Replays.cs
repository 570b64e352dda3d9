using System.Data.Common;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Replaying;

/// <summary>
/// The replays of this hub: one at a time for a farm, at most <see cref="AtOnceMost"/> over all farms. Those that are over are
/// remembered, the newest <see cref="OverKeptMost"/> and for a day at most. When the hub stops, the ones at work are cancelled, and it
/// waits until their rows are deleted.
/// </summary>
internal sealed partial class Replays(
    ReplayWork work,
    IHostApplicationLifetime lifetime,
    TimeProvider clock,
    ILogger<Replays> log
) : IHostedService
{
    /// <summary>Each holds a connection for as long as it takes and keeps a processor busy.</summary>
    public const int AtOnceMost = 4;

    public const int OverKeptMost = 50;

    public static readonly TimeSpan OverKeptFor = TimeSpan.FromHours(24);

    private readonly Lock gate = new();
    private readonly SortedDictionary<long, Replay> known = [];
    private long lastId;

    public IReadOnlyList<Replay> All
    {
        get
        {
            lock (gate)
            {
                Forget();
                return [.. known.Values];
            }
        }
    }

    public Replay? Find(long id) => All.FirstOrDefault(replay => replay.Shown.Replay == id);

    /// <summary>A replay that has begun, or those at work that keep it from beginning.</summary>
    public (Replay? Begun, IReadOnlyList<Replay> InTheWay) Begin(string farm, bool switchOver, long? asOf)
    {
        Replay begun;
        lock (gate)
        {
            Replay[] atWork = [.. known.Values.Where(replay => replay.IsRunning)];
            Replay[] inTheWay = [.. atWork.Where(replay => replay.Shown.Farm == farm)];
            if (inTheWay.Length == 0 && atWork.Length >= AtOnceMost)
                inTheWay = atWork;
            if (inTheWay.Length > 0)
                return (null, inTheWay);
            // The time makes numbers that no earlier run of the hub gave, so an old address never leads to another replay.
            lastId = Math.Max(lastId + 1, clock.GetUtcNow().ToUnixTimeMilliseconds());
            begun = new Replay(lastId, farm, switchOver, asOf, clock);
            known.Add(lastId, begun);
            Forget();
        }
        _ = Task.Run(() => RunAsync(begun));
        return (begun, []);
    }

    public Task StartAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    public Task StopAsync(CancellationToken cancellationToken) =>
        Task.WhenAll(All.Select(replay => replay.Ended)).WaitAsync(cancellationToken);

    private async Task RunAsync(Replay replay)
    {
        using var either = CancellationTokenSource.CreateLinkedTokenSource(
            replay.CancelAsked,
            lifetime.ApplicationStopping
        );
        var (farm, switchOver) = (replay.Shown.Farm, replay.Shown.Switch);
        LogBegun(log, replay.Shown.Replay, farm);
        try
        {
            var done = await work(replay, either.Token);
            replay.End(answer => done(answer) with { State = Replay.Done });
        }
        catch (OperationCanceledException)
        {
            var who = replay.CancelAsked.IsCancellationRequested ? "It was cancelled" : "The hub was stopped";
            replay.End(answer =>
                answer with
                {
                    State = Replay.Cancelled,
                    Why = $"{who}; nothing of it is left behind.",
                }
            );
        }
        catch (ReplayRefusedException refused)
        {
            replay.End(answer => answer with { State = "refused", Why = refused.Message });
        }
        catch (Exception trouble)
        {
            LogTrouble(log, trouble, replay.Shown.Replay, farm);
            var why =
                trouble is DbException
                    ? $"The database failed it; {Left(switchOver)} Begin again when /health/ready says that all is well."
                    : $"The hub made a mistake and has logged it; {Left(switchOver)}";
            replay.End(answer => answer with { State = "failed", Why = why });
        }
        LogEnded(log, replay.Shown.Replay, farm, replay.Shown.State, replay.Shown.Progress.Packs);
    }

    // A connection lost while the switch was confirmed does not tell whether it was made.
    private static string Left(bool switchOver) =>
        switchOver
            ? "either the old or the new ledger is read, whole; replay again to see which."
            : "the live ledger is as it was.";

    private void Forget()
    {
        var over = known.Values.Select(replay => replay.Shown).Where(answer => answer.State != Replay.Running).ToList();
        var oldest = clock.GetUtcNow() - OverKeptFor;
        foreach (var (place, answer) in over.OrderByDescending(answer => answer.EndedAt).Index())
            if (place >= OverKeptMost || answer.EndedAt < oldest)
                known.Remove(answer.Replay);
    }

    [LoggerMessage(Level = LogLevel.Information, Message = "Replay {Id} of the ledger of {Farm} has begun")]
    private static partial void LogBegun(ILogger log, long id, string farm);

    [LoggerMessage(
        Level = LogLevel.Information,
        Message = "Replay {Id} of the ledger of {Farm} is over: {State}, {Packs} packs"
    )]
    private static partial void LogEnded(ILogger log, long id, string farm, string state, long packs);

    [LoggerMessage(Level = LogLevel.Error, Message = "Replay {Id} of the ledger of {Farm} failed")]
    private static partial void LogTrouble(ILogger log, Exception trouble, long id, string farm);
}
