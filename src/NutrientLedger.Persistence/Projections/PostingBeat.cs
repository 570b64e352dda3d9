using JasperFx.Events.Daemon.HighWater;

namespace NutrientLedger.Persistence.Projections;

/// <summary>
/// When Marten looks for new events: at once after a quiet time, otherwise on a beat. The cost of posting is the number
/// of event pages, not what is in them. Without a signal Marten looks at its own polling times.
/// </summary>
public sealed class PostingBeat(TimeProvider time) : IDaemonWakeup
{
    /// <summary>The shortest time between two looks.</summary>
    public static readonly TimeSpan Interval = TimeSpan.FromMilliseconds(100);

    private readonly SemaphoreSlim appended = new(0, 1);
    private long? lastLook;

    /// <summary>Says that some hub has appended events. It may be called from any thread.</summary>
    public void Signal()
    {
        try
        {
            appended.Release();
        }
        catch (SemaphoreFullException)
        {
            // The next look is due already.
        }
    }

    /// <inheritdoc/>
    public async Task WaitAsync(TimeSpan timeout, CancellationToken token)
    {
        await appended.WaitAsync(timeout, token);
        if (lastLook is { } last && Interval - time.GetElapsedTime(last) is var rest && rest > TimeSpan.Zero)
            await Task.Delay(rest, time, token);
        lastLook = time.GetTimestamp();
    }

    /// <inheritdoc/>
    public void Dispose() => appended.Dispose();
}
