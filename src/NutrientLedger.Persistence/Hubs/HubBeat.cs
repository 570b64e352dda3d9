using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Npgsql;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Persistence.Hubs;

/// <summary>
/// Gives this hub's sign of life every other second while its work goes on, and replaces hubs that give none: a frozen
/// process keeps its connections, and with them its locks and open transactions. A hub that finds itself replaced ends.
/// </summary>
internal sealed partial class HubBeat(
    NpgsqlDataSource source,
    HubIdentity self,
    IEnumerable<IHubWork> works,
    TimeProvider time,
    IHostApplicationLifetime hub,
    ILogger<HubBeat> log
) : BackgroundService
{
    /// <summary>The exit code of a hub that was replaced.</summary>
    public const int ReplacedExitCode = 3;

    private readonly SilentHubs silent = new();
    private readonly HashSet<string> replaced = [];
    private string? lastStandstill;
    private string? lastError;

    public override async Task StartAsync(CancellationToken cancellationToken)
    {
        await HubRows.AddAsync(source, self.Name, cancellationToken);
        await base.StartAsync(cancellationToken);
    }

    public override async Task StopAsync(CancellationToken cancellationToken)
    {
        await base.StopAsync(cancellationToken);
        try
        {
            await HubRows.RemoveAsync(source, self.Name, cancellationToken);
        }
        catch (Exception)
        {
            // Another hub finds this one silent and removes it.
        }
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        using var timer = new PeriodicTimer(SilentHubs.Interval, time);
        var begun = time.GetTimestamp();
        while (await timer.WaitForNextTickAsync(stoppingToken))
            try
            {
                if (!await BeatAsync(stoppingToken))
                    return;
                var others = await HubRows.OthersAsync(source, self.Name, stoppingToken);
                foreach (var (name, beatAt) in silent.Look(others, time.GetElapsedTime(begun)))
                    await ReplaceAsync(name, beatAt, stoppingToken);
                // One that woke for a moment may have connected once more before its row was gone.
                if (replaced.Count > 0)
                    await HubRows.EndConnectionsAsync(source, replaced, stoppingToken);
                lastError = null;
            }
            catch (Exception e) when (!stoppingToken.IsCancellationRequested)
            {
                silent.Forget();
                // An outage is logged by who watches the database.
                if (lastError != e.Message && !DatabaseErrors.IsAway(e))
                    LogFailed(log, e.Message);
                lastError = e.Message;
            }
    }

    /// <summary>Gives a sign of life, unless some work stands still. False when this hub was replaced.</summary>
    private async Task<bool> BeatAsync(CancellationToken cancellationToken)
    {
        var standstill = works.Select(work => work.Standstill).FirstOrDefault(reason => reason is not null);
        if (standstill is not null && standstill != lastStandstill)
            LogStandstill(log, standstill);
        lastStandstill = standstill;
        if (
            standstill is null
                ? await HubRows.BeatAsync(source, self.Name, cancellationToken)
                : await HubRows.IsThereAsync(source, self.Name, cancellationToken)
        )
            return true;
        LogReplaced(log);
        Environment.ExitCode = ReplacedExitCode;
        hub.StopApplication();
        return false;
    }

    private async Task ReplaceAsync(string name, DateTimeOffset beatAt, CancellationToken cancellationToken)
    {
        // First its connections: an append of a frozen hub holds its row.
        var ended = await HubRows.EndConnectionsAsync(source, [name], cancellationToken);
        if (!await HubRows.RemoveSilentAsync(source, name, beatAt, cancellationToken))
            return;
        replaced.Add(name);
        if (ended > 0)
            LogEnded(log, name, SilentHubs.SilenceMin.TotalSeconds, ended);
        else
            LogGone(log, name);
    }

    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "The hub \"{Hub}\" gave no sign of life for {Seconds} s. Its {Connections} database connections were ended, and other hubs take over its work."
    )]
    private static partial void LogEnded(ILogger log, string hub, double seconds, int connections);

    [LoggerMessage(Level = LogLevel.Information, Message = "The hub \"{Hub}\" ended without signing off.")]
    private static partial void LogGone(ILogger log, string hub);

    [LoggerMessage(
        Level = LogLevel.Critical,
        Message = "This hub gave no sign of life, and another one took over its work. It writes nothing more and ends. Start it again, and it stands by."
    )]
    private static partial void LogReplaced(ILogger log);

    [LoggerMessage(
        Level = LogLevel.Critical,
        Message = "{Standstill}. This hub gives no sign of life until it goes on, so that another hub can take over."
    )]
    private static partial void LogStandstill(ILogger log, string standstill);

    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "Other hubs cannot be watched ({Cause}). A frozen one is not replaced until this works again."
    )]
    private static partial void LogFailed(ILogger log, string cause);
}
