using NutrientLedger.Persistence.DeadLetters;

namespace NutrientLedger.Ingestion.Queueing;

/// <summary>
/// How much ingestion takes on at a time and how long it waits. The defaults suit a hub on a farm's own computer.
/// </summary>
public sealed record IngestionLimits
{
    /// <summary>
    /// The largest packet that a device may send, in bytes. It is far more than the largest message that is read, so
    /// that a message which is too large can be acknowledged and kept as rejected. A larger packet ends its connection.
    /// </summary>
    public int PacketBytesMax { get; init; } = 4 * 1024 * 1024;

    /// <summary>
    /// How long a connection may be open and send nothing before it is closed. Devices connect within a second.
    /// </summary>
    public TimeSpan SilenceMax { get; init; } = TimeSpan.FromSeconds(15);

    /// <summary>How many unacknowledged messages each connection may have. MQTT 5 devices are informed of it.</summary>
    public ushort ReceiveMaximum { get; init; } = 256;

    /// <summary>How many bytes of messages may wait for their commit. Above that, connections are not read.</summary>
    public int WaitingBytesMax { get; init; } = 64 * 1024 * 1024;

    /// <summary>The most messages in one commit.</summary>
    public int CommitMessagesMax { get; init; } = 500;

    /// <summary>About the most readings in one commit.</summary>
    public int CommitReadingsMax { get; init; } = 20_000;

    /// <summary>
    /// How long a message waits for others before it is committed, after a quiet time (measured, see this project's
    /// README, I1).
    /// </summary>
    public TimeSpan CommitWait { get; init; } = TimeSpan.FromMilliseconds(5);

    /// <summary>How long it waits in a steady stream of messages. Each commit costs the same, however small.</summary>
    public TimeSpan BusyCommitWait { get; init; } = TimeSpan.FromMilliseconds(20);

    /// <summary>
    /// How long a message may wait for the database. After that its device is asked to send it again later.
    /// </summary>
    public TimeSpan CommitLimit { get; init; } = TimeSpan.FromSeconds(20);

    /// <summary>A message that has already waited too long is tried for so long.</summary>
    internal static readonly TimeSpan TryMin = TimeSpan.FromSeconds(1);

    /// <summary>When the device gets its answer, counted from the arrival of its message.</summary>
    internal TimeSpan AnswerLimit => CommitLimit > TryMin ? CommitLimit : TryMin;

    /// <summary>How often a device gets its acknowledgement watermark, at most.</summary>
    public TimeSpan WatermarkInterval { get; init; } = TimeSpan.FromSeconds(1);

    /// <summary>How many dead letters are kept.</summary>
    public DeadLetterLimits DeadLetters { get; init; } = new();

    /// <summary>
    /// The first pause before reconnecting to a lost external broker. Later pauses grow up to ten seconds.
    /// </summary>
    public TimeSpan ReconnectPause { get; init; } = TimeSpan.FromMilliseconds(200);

    /// <summary>How long a stopping hub continues to commit what has arrived.</summary>
    public TimeSpan DrainLimit { get; init; } = TimeSpan.FromSeconds(5);
}
