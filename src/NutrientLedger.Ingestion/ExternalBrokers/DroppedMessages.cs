using System.Globalization;
using System.Text;
using Microsoft.Extensions.Logging;
using NutrientLedger.Ingestion.Monitoring;

namespace NutrientLedger.Ingestion.ExternalBrokers;

/// <summary>
/// The number of messages that the broker reports as dropped, if it does. The broker counts over all its subscribers.
/// Its count starts again at 0 when the broker restarts.
/// </summary>
internal sealed class DroppedMessages(IngestionMeter meter, TimeProvider clock, ILogger<DroppedMessages> logger)
{
    public const string Topic = "$SYS/broker/publish/messages/dropped";

    private static readonly TimeSpan RecentMax = TimeSpan.FromDays(1);

    private readonly IngestionLog log = new(logger);
    private readonly Lock guard = new();
    private long latest;

    /// <summary>How many dropped messages the broker has reported to this hub.</summary>
    public long Total { get; private set; }

    /// <summary>When the count last rose, or null.</summary>
    public DateTimeOffset? RoseAt { get; private set; }

    /// <summary>Whether the count rose within the last day.</summary>
    public bool IsRecent => RoseAt is { } at && clock.GetUtcNow() - at < RecentMax;

    /// <summary>Takes the broker's count. A rise is logged and counted once, whichever partition receives it.</summary>
    public void Update(ReadOnlySpan<byte> payload)
    {
        if (
            !long.TryParse(
                Encoding.UTF8.GetString(payload),
                NumberStyles.None,
                CultureInfo.InvariantCulture,
                out var count
            )
        )
            return;
        lock (guard)
        {
            var rise = count < latest ? count : count - latest;
            latest = count;
            if (rise == 0)
                return;
            (Total, RoseAt) = (Total + rise, clock.GetUtcNow());
            meter.BrokerDropped(rise);
            log.BrokerDropped(rise, Total);
        }
    }
}
