using System.Threading.Channels;
using System.Threading.RateLimiting;

namespace NutrientLedger.Intake;

/// <summary>
/// The messages between arrival and commit. It is bounded by their bytes: a message that finds no room keeps its line from
/// being read, so that the sender is slowed down by TCP and nothing is dropped.
/// </summary>
internal sealed class IntakeQueue : IDisposable
{
    // Room is given in pages, so that many tiny messages are bounded in number too.
    private const int PageBytes = 4096;

    private readonly IntakeLimits limits;
    private readonly TimeProvider clock;
    private readonly ConcurrencyLimiter room;
    private readonly Channel<QueuedMessage> waiting;
    private readonly int pages;
    private Task<bool>? arrival;

    public IntakeQueue(IntakeLimits limits, TimeProvider clock)
    {
        this.limits = limits;
        this.clock = clock;
        pages = Pages(Math.Max(limits.WaitingBytesMax, limits.PacketBytesMax));
        room = new(
            new ConcurrencyLimiterOptions
            {
                PermitLimit = pages,
                // Each line waits with one message at most, so the lines bound this.
                QueueLimit = int.MaxValue,
                QueueProcessingOrder = QueueProcessingOrder.OldestFirst,
            }
        );
        waiting = Channel.CreateBounded<QueuedMessage>(new BoundedChannelOptions(pages) { SingleReader = true });
    }

    /// <summary>How many messages wait for a commit.</summary>
    public int Count => waiting.Reader.Count;

    /// <summary>The share of the room that is taken by messages waiting or being committed, 0 to 1.</summary>
    public double Fullness => 1 - ((double)room.GetStatistics()!.CurrentAvailablePermits / pages);

    /// <summary>Waits for room and takes the message in; false when the hub is stopping.</summary>
    public async ValueTask<bool> AdmitAsync(QueuedMessage message, CancellationToken line)
    {
        message.Room = await room.AcquireAsync(Pages(message.Payload.Length), line);
        if (waiting.Writer.TryWrite(message))
            return true;
        message.Room.Dispose();
        return false;
    }

    /// <summary>
    /// Fills a batch: with what is there, and with what arrives until the first of it has waited long enough or the batch is
    /// full. False once the queue is closed and empty.
    /// </summary>
    public async Task<bool> FillAsync(List<QueuedMessage> batch)
    {
        arrival ??= waiting.Reader.WaitToReadAsync().AsTask();
        if (!await arrival)
            return false;
        arrival = null;
        var readings = 0;
        while (true)
        {
            while (HasRoom(batch.Count, readings) && waiting.Reader.TryRead(out var message))
            {
                batch.Add(message);
                readings += message.Readings;
            }
            var rest = limits.CommitWait - clock.GetElapsedTime(batch[0].ArrivedAt);
            if (!HasRoom(batch.Count, readings) || rest <= TimeSpan.Zero)
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

    private static int Pages(int bytes) => 1 + (bytes / PageBytes);
}
