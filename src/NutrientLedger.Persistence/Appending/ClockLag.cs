using NutrientLedger.Journal;

namespace NutrientLedger.Persistence.Appending;

/// <summary>
/// What a message shows of its device's clock. The lag is the time from the newest reading's measured time to its
/// recording. That is the time in transit less what the clock is ahead. The least of several is nearest to the clock
/// alone.
/// </summary>
internal static class ClockLag
{
    /// <summary>Older readings are a backlog or a recording played again. They show nothing of a clock.</summary>
    private const long BacklogMilliseconds = 24 * 3_600_000;

    /// <summary>
    /// The lag of a live message in milliseconds, negative when the clock is ahead. Null for a message that is not
    /// live.
    /// </summary>
    public static long? Of<TReading>(ReadingBatch<TReading> batch, long highestSeen, DateTimeOffset now)
        where TReading : struct, IReading<TReading>
    {
        // Only a message that continues the numbers can have been sent as soon as it was measured.
        if (batch.FirstSeq != highestSeen + 1)
            return null;
        var lag = now.ToUnixTimeMilliseconds() - batch.Readings.Max(reading => reading.MeasuredAtMilliseconds);
        return lag > BacklogMilliseconds ? null : lag;
    }

    /// <summary>The lesser of two lags. Either may be unknown.</summary>
    public static long? Min(long? one, long? other) => one is { } a && other is { } b ? Math.Min(a, b) : one ?? other;
}
