using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;

namespace NutrientLedger.Persistence.Postgres;

/// <summary>
/// Starts the private PostgreSQL again when it has died. A start follows at once, a start that failed is repeated after
/// a pause. Beyond <see cref="StartsMax"/> starts within <see cref="Period"/> the hub stops with exit code 1.
/// </summary>
public sealed partial class ServerSupervisor(
    PrivatePostgres server,
    IHostApplicationLifetime hub,
    TimeProvider time,
    ILogger<ServerSupervisor> log
) : BackgroundService
{
    /// <summary>So many starts are tried within <see cref="Period"/>.</summary>
    public const int StartsMax = 5;

    /// <summary>Starts longer ago do not count.</summary>
    public static readonly TimeSpan Period = TimeSpan.FromMinutes(10);

    /// <summary>Five failed starts take two minutes. In this time a full disk can be cleared.</summary>
    private static readonly TimeSpan PauseAfterFailure = TimeSpan.FromSeconds(30);

    private readonly List<long> starts = [];

    /// <inheritdoc/>
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        try
        {
            while (true)
            {
                var reason = await server.LostAsync(stoppingToken);
                LogLost(log, reason);
                if (await StartAgainAsync(reason, stoppingToken))
                    continue;
                Environment.ExitCode = 1;
                hub.StopApplication();
                return;
            }
        }
        catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
        {
            // The hub stops.
        }
    }

    /// <summary>Returns false when there were too many starts.</summary>
    private async Task<bool> StartAgainAsync(string reason, CancellationToken stoppingToken)
    {
        var lostAt = time.GetTimestamp();
        while (MayStart())
        {
            starts.Add(time.GetTimestamp());
            try
            {
                await server.StartAgainAsync(stoppingToken);
                // A server that lived on, or that another process started, was not started here.
                if (server.Joined)
                    starts.RemoveAt(starts.Count - 1);
                var seconds = Math.Round(time.GetElapsedTime(lostAt).TotalSeconds, 1);
                LogBack(log, seconds, starts.Count, StartsMax, Period.TotalMinutes);
                return true;
            }
            catch (Exception e) when (e is PrivatePostgresException or Npgsql.NpgsqlException)
            {
                reason = e.Message;
                LogNotStarted(log, reason, PauseAfterFailure.TotalSeconds);
                await Task.Delay(PauseAfterFailure, time, stoppingToken);
            }
        }
        LogGivenUp(log, StartsMax, Period.TotalMinutes, reason, server.LogFolder);
        return false;
    }

    private bool MayStart()
    {
        starts.RemoveAll(start => time.GetElapsedTime(start) > Period);
        return starts.Count < StartsMax;
    }

    [LoggerMessage(
        Level = LogLevel.Error,
        Message = "The private PostgreSQL is gone ({Reason}). It is started again now. Devices keep what is not acknowledged."
    )]
    private static partial void LogLost(ILogger log, string reason);

    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "The private PostgreSQL is back after {Seconds} s ({Starts} of {Max} starts within {Minutes} minutes)"
    )]
    private static partial void LogBack(ILogger log, double seconds, int starts, int max, double minutes);

    [LoggerMessage(
        Level = LogLevel.Error,
        Message = "The private PostgreSQL could not be started ({Reason}). The next try follows in {Seconds} s."
    )]
    private static partial void LogNotStarted(ILogger log, string reason, double seconds);

    [LoggerMessage(
        Level = LogLevel.Critical,
        Message = "The private PostgreSQL was started {Max} times within {Minutes} minutes and is gone again ({Reason}). The hub stops. Read PostgreSQL's log in {Folder}, remove the cause (often memory or disk), then start the hub again. Nothing acknowledged is lost."
    )]
    private static partial void LogGivenUp(ILogger log, int max, double minutes, string reason, string folder);
}
