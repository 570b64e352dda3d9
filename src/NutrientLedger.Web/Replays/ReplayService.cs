using System.Data.Common;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using NutrientLedger.Persistence.Rebuild;

namespace NutrientLedger.Web.Replays;

/// <summary>
/// The replays of this hub: one at a time per farm, at most <see cref="ConcurrentMax"/> over all farms. The newest
/// <see cref="FinishedKeptMax"/> finished ones are kept for at most a day. When the hub stops, running ones are
/// cancelled, and it waits until their rows are deleted.
/// </summary>
internal sealed partial class ReplayService(
    ReplayWork work,
    IHostApplicationLifetime lifetime,
    TimeProvider clock,
    ILogger<ReplayService> log
) : IHostedService
{
    /// <summary>Each running replay holds a connection and keeps a processor busy.</summary>
    public const int ConcurrentMax = 4;

    public const int FinishedKeptMax = 50;

    public static readonly TimeSpan FinishedKeptFor = TimeSpan.FromHours(24);

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

    public Replay? Find(long id) => All.FirstOrDefault(replay => replay.Response.Replay == id);

    /// <summary>Starts a replay. Returns it, or the running ones that prevent it.</summary>
    public (Replay? Begun, IReadOnlyList<Replay> InTheWay) Begin(string farm, bool switchOver, long? asOf)
    {
        Replay begun;
        lock (gate)
        {
            Replay[] atWork = [.. known.Values.Where(replay => replay.IsRunning)];
            Replay[] inTheWay = [.. atWork.Where(replay => replay.Response.Farm == farm)];
            if (inTheWay.Length == 0 && atWork.Length >= ConcurrentMax)
                inTheWay = atWork;
            if (inTheWay.Length > 0)
                return (null, inTheWay);
            // Ids are times, so no earlier process of the hub gave the same one, and an old address never leads to
            // another replay.
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
            replay.Cancellation,
            lifetime.ApplicationStopping
        );
        var (farm, switchOver) = (replay.Response.Farm, replay.Response.Switch);
        LogBegun(log, replay.Response.Replay, farm);
        try
        {
            var done = await work(replay, either.Token);
            replay.End(answer => done(answer) with { State = Replay.Done });
        }
        catch (OperationCanceledException)
        {
            var who = replay.Cancellation.IsCancellationRequested ? "It was cancelled" : "The hub was stopped";
            replay.End(answer => answer with { State = Replay.Cancelled, Reason = $"{who}. Its rows are deleted." });
        }
        catch (RebuildUnavailableException error)
        {
            replay.End(answer => answer with { State = "unavailable", Reason = error.Message });
        }
        catch (Exception error)
        {
            LogFailed(log, error, replay.Response.Replay, farm);
            var reason =
                error is DbException
                    ? $"Database error; {Left(switchOver)} Start again when /health/ready is healthy."
                    : $"Internal error, see the log; {Left(switchOver)}";
            replay.End(answer => answer with { State = "failed", Reason = reason });
        }
        LogEnded(log, replay.Response.Replay, farm, replay.Response.State, replay.Response.Progress.Batches);
    }

    // If the connection was lost while the switch was committed, it is unknown whether it happened.
    private static string Left(bool switchOver) =>
        switchOver
            ? "the old or the new ledger is in use, complete. Replay again to find out."
            : "the live ledger is unchanged.";

    private void Forget()
    {
        var over = known
            .Values.Select(replay => replay.Response)
            .Where(answer => answer.State != Replay.Running)
            .ToList();
        var oldest = clock.GetUtcNow() - FinishedKeptFor;
        foreach (var (place, answer) in over.OrderByDescending(answer => answer.EndedAt).Index())
            if (place >= FinishedKeptMax || answer.EndedAt < oldest)
                known.Remove(answer.Replay);
    }

    [LoggerMessage(Level = LogLevel.Information, Message = "Replay {Id} of {Farm} started")]
    private static partial void LogBegun(ILogger log, long id, string farm);

    [LoggerMessage(Level = LogLevel.Information, Message = "Replay {Id} of {Farm} ended: {State}, {Batches} batches")]
    private static partial void LogEnded(ILogger log, long id, string farm, string state, long batches);

    [LoggerMessage(Level = LogLevel.Error, Message = "Replay {Id} of {Farm} failed")]
    private static partial void LogFailed(ILogger log, Exception error, long id, string farm);
}
