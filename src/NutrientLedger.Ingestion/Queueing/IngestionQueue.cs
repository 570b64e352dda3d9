using System.Threading.Channels;
using System.Threading.RateLimiting;

namespace NutrientLedger.Ingestion.Queueing;

/// <summary>
/// The messages between arrival and commit. It is bounded by their bytes: a message that finds no room keeps its line from
/// being read, so that the sender is slowed down by TCP and nothing is dropped.
/// </summary>
internal sealed class IngestionQueue : IDisposable
{
    // Room is given in pages, so that many tiny messages are bounded in number too.
    private const int BlockBytes = 4096;

    private readonly IngestionLimits limits;
    private readonly TimeProvider clock;
    private readonly ConcurrencyLimiter room;
    private readonly Channel<QueuedMessage> waiting;
    private readonly int blocks;
    private Task<bool>? arrival;

    public IngestionQueue(IngestionLimits limits, TimeProvider clock)
    {
        this.limits = limits;
        this.clock = clock;
        blocks = Blocks(Math.Max(limits.WaitingBytesMax, limits.PacketBytesMax));
        room = new(
            new ConcurrencyLimiterOptions
            {
                PermitLimit = blocks,
                // Each line waits with one message at most, so the lines bound this.
                QueueLimit = int.MaxValue,
                QueueProcessingOrder = QueueProcessingOrder.OldestFirst,
            }
        );
        waiting = Channel.CreateBounded<QueuedMessage>(new BoundedChannelOptions(blocks) { SingleReader = true });
    }

    /// <summary>How many messages wait for a commit.</summary>
    public int Count => waiting.Reader.Count;

    /// <summary>The share of the room that is taken by messages waiting or being committed, 0 to 1.</summary>
    public double Fullness => 1 - ((double)room.GetStatistics()!.CurrentAvailablePermits / blocks);

    /// <summary>Waits for room and takes the message in; false when the hub is stopping.</summary>
    public async ValueTask<bool> AdmitAsync(QueuedMessage message, CancellationToken connectionClosed)
    {
        message.Room = await room.AcquireAsync(Blocks(message.Payload.Length), connectionClosed);
        if (waiting.Writer.TryWrite(message))
            return true;
        message.Room.Dispose();
        return false;
    }

    /// <summary>
    /// Fills a batch: with what is there, and with what arrives until the first of it has waited long enough or the batch is
    /// full. False once the queue is closed and empty.
    /// </summary>
    public async Task<bool> FillAsync(List<QueuedMessage> group)
    {
        arrival ??= waiting.Reader.WaitToReadAsync().AsTask();
        if (!await arrival)
            return false;
        arrival = null;
        var readings = 0;
        while (true)
        {
            while (HasRoom(group.Count, readings) && waiting.Reader.TryRead(out var message))
            {
                group.Add(message);
                readings += message.Readings;
            }
            var rest = limits.CommitWait - clock.GetElapsedTime(group[0].ArrivedAt);
            if (!HasRoom(group.Count, readings) || rest <= TimeSpan.Zero)
                return true;
            arrival ??= waiting.Reader.WaitToReadAsync().AsTask();
            if (await Task.WhenAny(arrival, Task.Delay(rest, clock)) != arrival || !await arrival)
                return true;
            arrival = null;
        }
    }

    /// <summary>Lets nothing more in; what is in can still be taken out.</summary>
    public void Close() => waiting.Writer.TryComplete();

    public void Dispose() => room.Dispose();

    private bool HasRoom(int messages, int readings) =>
        messages < limits.CommitMessagesMax && readings < limits.CommitReadingsMax;

    private static int Blocks(int bytes) => 1 + (bytes / BlockBytes);
}
