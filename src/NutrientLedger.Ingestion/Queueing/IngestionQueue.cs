using System.Threading.Channels;
using System.Threading.RateLimiting;

namespace NutrientLedger.Ingestion.Queueing;

/// <summary>
/// The messages between arrival and commit, limited by their bytes. Without room for a message, its connection is not
/// read. TCP then slows the device down, and nothing is dropped.
/// </summary>
internal sealed class IngestionQueue : IDisposable
{
    // Room is counted in blocks, so that the number of tiny messages is limited too.
    private const int BlockBytes = 4096;

    private readonly IngestionLimits limits;
    private readonly TimeProvider clock;
    private readonly ConcurrencyLimiter room;
    private readonly Channel<QueuedMessage> waiting;
    private readonly int blocks;

    /// <summary>Groups that follow each other within this time are a steady stream.</summary>
    private static readonly TimeSpan Steady = TimeSpan.FromMilliseconds(40);

    private Task<bool>? arrival;
    private long? lastGroupAt;

    public IngestionQueue(IngestionLimits limits, TimeProvider clock)
    {
        this.limits = limits;
        this.clock = clock;
        blocks = Blocks(Math.Max(limits.WaitingBytesMax, limits.PacketBytesMax));
        room = new(
            new ConcurrencyLimiterOptions
            {
                PermitLimit = blocks,
                // Each connection waits with one message at most, so the number of connections limits this queue.
                QueueLimit = int.MaxValue,
                QueueProcessingOrder = QueueProcessingOrder.OldestFirst,
            }
        );
        waiting = Channel.CreateBounded<QueuedMessage>(new BoundedChannelOptions(blocks) { SingleReader = true });
    }

    /// <summary>How many messages wait for a commit.</summary>
    public int Count => waiting.Reader.Count;

    /// <summary>The share of room taken by messages that wait or are being committed, from 0 to 1.</summary>
    public double Fullness => 1 - ((double)room.GetStatistics()!.CurrentAvailablePermits / blocks);

    /// <summary>Waits for room and queues the message. Returns false when the hub is stopping.</summary>
    public async ValueTask<bool> AdmitAsync(QueuedMessage message, CancellationToken connectionClosed)
    {
        message.Room = await room.AcquireAsync(Blocks(message.Payload.Length), connectionClosed);
        if (waiting.Writer.TryWrite(message))
            return true;
        message.Room.Dispose();
        return false;
    }

    /// <summary>
    /// Fills a group with the waiting messages. More may join until the first has waited long enough or the group is
    /// full. Returns false once the queue is closed and empty.
    /// </summary>
    public async Task<bool> FillAsync(List<QueuedMessage> group)
    {
        arrival ??= waiting.Reader.WaitToReadAsync().AsTask();
        if (!await arrival)
            return false;
        arrival = null;
        var isSteady = lastGroupAt is { } last && clock.GetElapsedTime(last) < Steady;
        await CollectAsync(group, isSteady ? limits.BusyCommitWait : limits.CommitWait);
        lastGroupAt = clock.GetTimestamp();
        return true;
    }

    private async Task CollectAsync(List<QueuedMessage> group, TimeSpan wait)
    {
        var readings = 0;
        while (true)
        {
            while (HasRoom(group.Count, readings) && waiting.Reader.TryRead(out var message))
            {
                group.Add(message);
                readings += message.Readings;
            }
            var remaining = wait - clock.GetElapsedTime(group[0].ArrivedAt);
            if (!HasRoom(group.Count, readings) || remaining <= TimeSpan.Zero)
                return;
            arrival ??= waiting.Reader.WaitToReadAsync().AsTask();
            if (await Task.WhenAny(arrival, Task.Delay(remaining, clock)) != arrival || !await arrival)
                return;
            arrival = null;
        }
    }

    /// <summary>Accepts no more messages. Those in the queue can still be taken.</summary>
    public void Close() => waiting.Writer.TryComplete();

    public void Dispose() => room.Dispose();

    private bool HasRoom(int messages, int readings) =>
        messages < limits.CommitMessagesMax && readings < limits.CommitReadingsMax;

    private static int Blocks(int bytes) => 1 + (bytes / BlockBytes);
}
