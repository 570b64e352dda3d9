using NutrientLedger.Persistence.DeadLetters;
using NutrientLedger.Telemetry;

namespace NutrientLedger.Ingestion.Queueing;

/// <summary>How much intake takes on at a time and how long it waits; the defaults suit a hub on a farm's own computer.</summary>
public sealed record IngestionLimits
{
    /// <summary>The largest packet a device may send: the largest message, and room for its topic and properties.</summary>
    public int PacketBytesMax { get; init; } = MessageDecoder.BytesMax + 1024;

    /// <summary>How long a line may be open and say nothing before it is closed; devices connect within a second.</summary>
    public TimeSpan SilenceMax { get; init; } = TimeSpan.FromSeconds(15);

    /// <summary>How many unacknowledged messages a device is asked to keep to (MQTT 5).</summary>
    public ushort ReceiveMaximum { get; init; } = 256;

    /// <summary>How many bytes of messages may wait for their commit; beyond it the lines are not read any more.</summary>
    public int WaitingBytesMax { get; init; } = 64 * 1024 * 1024;

    /// <summary>The most messages of one commit.</summary>
    public int CommitMessagesMax { get; init; } = 500;

    /// <summary>About the most readings of one commit.</summary>
    public int CommitReadingsMax { get; init; } = 20_000;

    /// <summary>
    /// How long a message waits for company before it is committed. Under load the running commit is the wait; when it is quiet 5 ms
    /// halve the delay that 20 ms make, and cost the full rate nothing (measured, see this room's README, I1).
    /// </summary>
    public TimeSpan CommitWait { get; init; } = TimeSpan.FromMilliseconds(5);

    /// <summary>How long a message may wait for the database before its device is told to send it again later.</summary>
    public TimeSpan CommitLimit { get; init; } = TimeSpan.FromSeconds(20);

    /// <summary>How often at most a machine is told how far its readings are stored.</summary>
    public TimeSpan WatermarkInterval { get; init; } = TimeSpan.FromSeconds(1);

    /// <summary>How many refused messages are kept.</summary>
    public DeadLetterLimits DeadLetters { get; init; } = new();

    /// <summary>The first pause before a lost external broker is tried again; later ones grow up to ten seconds.</summary>
    public TimeSpan ReconnectPause { get; init; } = TimeSpan.FromMilliseconds(200);

    /// <summary>How long a stopping hub goes on committing what has arrived.</summary>
    public TimeSpan DrainLimit { get; init; } = TimeSpan.FromSeconds(5);
}
