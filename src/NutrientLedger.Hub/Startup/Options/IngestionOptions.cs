using System.ComponentModel.DataAnnotations;
using NutrientLedger.Ingestion.Queueing;

namespace NutrientLedger.Hub.Startup.Options;

/// <summary>Limits and waiting times of ingestion. The defaults suit a farm's own computer.</summary>
internal sealed class IngestionOptions
{
    /// <summary>
    /// Max MQTT packet size of a device, in KiB, 8 to 65536. Default: 4096. A message over 256 KiB is not read; up to
    /// this size it is kept as rejected.
    /// </summary>
    [Range(8, 65_536)]
    public int PacketKibibytesMax { get; init; } = 4096;

    /// <summary>
    /// How long a new connection may stay silent before it is closed, in seconds, 1 to 600. Default: 15.
    /// </summary>
    [Range(1, 600)]
    public int SilenceSecondsMax { get; init; } = 15;

    /// <summary>Max number of unacknowledged messages of a device, 1 to 65535 (MQTT 5). Default: 256.</summary>
    [Range(1, 65535)]
    public int ReceiveMaximum { get; init; } = 256;

    /// <summary>
    /// Max size of messages waiting for their commit, in MiB, 1 to 1024. Default: 64. Beyond it connections are not
    /// read.
    /// </summary>
    [Range(1, 1024)]
    public int WaitingMebibytesMax { get; init; } = 64;

    /// <summary>Max number of messages in one commit, 1 to 10000. Default: 500.</summary>
    [Range(1, 10_000)]
    public int CommitMessagesMax { get; init; } = 500;

    /// <summary>
    /// How many readings fill a commit, 1 to 1000000. Default: 20000. The last message may exceed it.
    /// </summary>
    [Range(1, 1_000_000)]
    public int CommitReadingsMax { get; init; } = 20_000;

    /// <summary>
    /// How long a message waits for others before the commit, in milliseconds, 0 to 1000. Default: 5.
    /// </summary>
    [Range(0, 1000)]
    public int CommitWaitMilliseconds { get; init; } = 5;

    /// <summary>The same in a steady stream of messages, in milliseconds, 0 to 1000. Default: 20.</summary>
    [Range(0, 1000)]
    public int BusyCommitWaitMilliseconds { get; init; } = 20;

    /// <summary>
    /// How long a message may wait for the database, in seconds, 1 to 600. Default: 20. Then its device is asked to
    /// send it again.
    /// </summary>
    [Range(1, 600)]
    public int CommitSecondsMax { get; init; } = 20;

    /// <summary>
    /// Shortest time between two acknowledgement watermarks of a device, in seconds, 1 to 3600. Default: 1.
    /// </summary>
    [Range(1, 3600)]
    public int WatermarkSecondsMin { get; init; } = 1;

    /// <summary>
    /// First pause before reconnecting to an external broker, in milliseconds, 10 to 10000. Default: 200. Later pauses
    /// grow up to ten seconds.
    /// </summary>
    [Range(10, 10_000)]
    public int ReconnectPauseMilliseconds { get; init; } = 200;

    /// <summary>
    /// How long a stopping hub goes on committing received messages, in seconds, 1 to 25. Default: 5.
    /// </summary>
    [Range(1, 25)]
    public int DrainSecondsMax { get; init; } = 5;

    /// <summary>These limits as Ingestion takes them, with those of dead letters.</summary>
    public IngestionLimits ToLimits(DeadLetterOptions deadLetters) =>
        new()
        {
            PacketBytesMax = PacketKibibytesMax * 1024,
            SilenceMax = TimeSpan.FromSeconds(SilenceSecondsMax),
            ReceiveMaximum = (ushort)ReceiveMaximum,
            WaitingBytesMax = WaitingMebibytesMax * 1024 * 1024,
            CommitMessagesMax = CommitMessagesMax,
            CommitReadingsMax = CommitReadingsMax,
            CommitWait = TimeSpan.FromMilliseconds(CommitWaitMilliseconds),
            BusyCommitWait = TimeSpan.FromMilliseconds(BusyCommitWaitMilliseconds),
            CommitLimit = TimeSpan.FromSeconds(CommitSecondsMax),
            WatermarkInterval = TimeSpan.FromSeconds(WatermarkSecondsMin),
            ReconnectPause = TimeSpan.FromMilliseconds(ReconnectPauseMilliseconds),
            DrainLimit = TimeSpan.FromSeconds(DrainSecondsMax),
            DeadLetters = deadLetters.ToLimits(),
        };
}
