using System.Collections.Concurrent;
using System.Globalization;
using System.Runtime.CompilerServices;
using System.Threading.Channels;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Npgsql;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.ReadModel;

namespace NutrientLedger.Persistence.Projections;

/// <summary>A farm's ledger was posted up to a journal position.</summary>
public sealed record LedgerPosted(string FarmId, long Position);

/// <summary>
/// Notifies listeners when ledgers have moved on, whichever hub posted them, and the projection when some hub has
/// appended. One connection hears PostgreSQL's notifications and passes them on. A slow listener misses steps in
/// between, never a farm's last one.
/// </summary>
public sealed partial class LedgerFeed(
    NpgsqlDataSource source,
    PostingBeat beat,
    TimeProvider time,
    ILogger<LedgerFeed> log
) : BackgroundService
{
    private static readonly TimeSpan ReconnectAfter = TimeSpan.FromSeconds(1);

    /// <summary>A connection to a remote server can die silently. After so long a silence it is tested.</summary>
    private static readonly TimeSpan SilenceMax = TimeSpan.FromSeconds(20);

    private readonly ConcurrentDictionary<Listener, byte> listeners = [];
    private long? lostAt;

    /// <summary>What is posted from now on, until cancelled.</summary>
    public async IAsyncEnumerable<LedgerPosted> ListenAsync(
        [EnumeratorCancellation] CancellationToken cancellationToken
    )
    {
        var listener = new Listener();
        listeners.TryAdd(listener, 0);
        try
        {
            await foreach (var _ in listener.Signal.Reader.ReadAllAsync(cancellationToken))
            foreach (var farmId in listener.Pending.Keys)
                if (listener.Pending.TryRemove(farmId, out var position))
                    yield return new(farmId, position);
        }
        finally
        {
            listeners.TryRemove(listener, out _);
        }
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        while (!stoppingToken.IsCancellationRequested)
        {
            try
            {
                await ListenOnceAsync(stoppingToken);
            }
            catch (Exception) when (stoppingToken.IsCancellationRequested)
            {
                return;
            }
            catch (Exception e)
            {
                // One log line at the begin and one at the end, not one a second in between. An outage is logged by
                // who watches the database.
                if (lostAt is null && !DatabaseErrors.IsAway(e))
                    LogLost(log, e.Message, ReconnectAfter.TotalSeconds);
                lostAt ??= time.GetTimestamp();
                await Task.Delay(ReconnectAfter, time, stoppingToken);
            }
        }
    }

    private async Task ListenOnceAsync(CancellationToken stoppingToken)
    {
        await using var connection = await source.OpenConnectionAsync(stoppingToken);
        connection.Notification += (_, heard) =>
        {
            if (heard.Channel == PostedFarmRows.PostedChannel)
                Publish(heard.Payload);
            else
                beat.Signal();
        };
        await connection.ExecuteAsync(
            $"listen {PostedFarmRows.PostedChannel}; listen {EventAppend.AppendedChannel}",
            stoppingToken
        );
        if (lostAt is { } since)
        {
            var seconds = Math.Round(time.GetElapsedTime(since).TotalSeconds, 1);
            LogRestored(log, seconds);
        }
        lostAt = null;
        // What was posted while the connection was lost is reported once.
        await using (
            var missed = new NpgsqlCommand(
                $"select farm || ' ' || position from ({PostedFarmRows.Posted}) as posted",
                connection
            )
        )
        await using (var rows = await missed.ExecuteReaderAsync(stoppingToken))
            while (await rows.ReadAsync(stoppingToken))
                Publish(rows.GetString(0));
        while (!stoppingToken.IsCancellationRequested)
            if (!await connection.WaitAsync(SilenceMax, stoppingToken))
                await connection.ExecuteAsync("select", stoppingToken);
    }

    private void Publish(string payload)
    {
        var parts = payload.Split(' ');
        var position = long.Parse(parts[1], CultureInfo.InvariantCulture);
        foreach (var listener in listeners.Keys)
        {
            listener.Pending[parts[0]] = position;
            listener.Signal.Writer.TryWrite(0);
        }
    }

    [LoggerMessage(
        Level = LogLevel.Warning,
        Message = "The live feed lost its database connection ({Cause}). It reconnects every {Seconds} s."
    )]
    private static partial void LogLost(ILogger log, string cause, double seconds);

    [LoggerMessage(Level = LogLevel.Information, Message = "The live feed is connected again after {Seconds} s.")]
    private static partial void LogRestored(ILogger log, double seconds);

    private sealed class Listener
    {
        public ConcurrentDictionary<string, long> Pending { get; } = [];

        public Channel<byte> Signal { get; } =
            Channel.CreateBounded<byte>(new BoundedChannelOptions(1) { FullMode = BoundedChannelFullMode.DropWrite });
    }
}
