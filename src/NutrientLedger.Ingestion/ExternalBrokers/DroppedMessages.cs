using System.Globalization;
using System.Text;
using Microsoft.Extensions.Logging;
using NutrientLedger.Ingestion.Monitoring;

namespace NutrientLedger.Ingestion.ExternalBrokers;

/// <summary>
/// What the broker says it has thrown away, where it says so. The count is the broker's, over all its listeners; it starts again
/// at 0 with the broker.
/// </summary>
internal sealed class DroppedMessages(IngestionMeter meter, TimeProvider clock, ILogger<DroppedMessages> logger)
{
    public const string Topic = "$SYS/broker/publish/messages/dropped";

    private static readonly TimeSpan RecentMax = TimeSpan.FromDays(1);

    private readonly IngestionLog log = new(logger);
    private readonly Lock guard = new();
    private long latest;

    /// <summary>How many were dropped as far as this hub has heard.</summary>
    public long Total { get; private set; }

    /// <summary>When the count last rose, or nothing.</summary>
    public DateTimeOffset? RoseAt { get; private set; }

    /// <summary>Whether that was so lately that somebody should still look.</summary>
    public bool IsRecent => RoseAt is { } at && clock.GetUtcNow() - at < RecentMax;

    /// <summary>Takes what the broker says; a rise is told and counted once, whichever partition hears it.</summary>
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
