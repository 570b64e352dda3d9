using Microsoft.Extensions.Logging;

namespace NutrientLedger.Ingestion.Monitoring;

/// <summary>
/// Tracks sound messages that were not taken, because too many wait already. Their devices still have them and send
/// them again.
/// </summary>
internal sealed class QuotaTracker(TimeProvider clock, ILogger<QuotaTracker> logger)
{
    /// <summary>A device that sends again does so within a minute, so after this time nobody tries any more.</summary>
    private static readonly TimeSpan RecentMax = TimeSpan.FromMinutes(10);

    private readonly IngestionLog log = new(logger);
    private readonly LogThrottle logThrottle = new(clock);
    private readonly Lock gate = new();
    private long messages;
    private DateTimeOffset lastAt;
    private string reason = "";

    /// <summary>How many messages were not taken since the hub started, each time it was sent.</summary>
    public long Messages => Interlocked.Read(ref messages);

    /// <summary>What is wrong and what to do; null when nothing was turned away in the last ten minutes.</summary>
    public string? Trouble
    {
        get
        {
            lock (gate)
                return messages > 0 && clock.GetUtcNow() - lastAt < RecentMax
                    ? $"{messages} sound messages were not taken, last {lastAt:u}; their devices keep them. {reason}"
                    : null;
        }
    }

    /// <summary>A message was not taken.</summary>
    public void Exceeded(string topic, string limit)
    {
        lock (gate)
            (messages, lastAt, reason) = (messages + 1, clock.GetUtcNow(), limit);
        if (logThrottle.CountToLog(topic, limit) is > 0 and var times)
            log.OverQuota(times, topic, limit);
    }
}
