using NutrientLedger.Journal;

namespace NutrientLedger.Ledger.Configuration;

/// <summary>
/// Readings whose time cannot be right: measured more than 300 s after they were recorded, or before the farm's ledger
/// begins. They are kept, and stay out of everything that is posted.
/// </summary>
public static class QuestionableTime
{
    private const long AheadMillisecondsMax = 300_000;

    /// <summary>How many of a batch's own readings have a questionable time.</summary>
    public static int Count<TReading>(
        ReadingBatch<TReading> batch,
        DateTimeOffset recordedAt,
        FarmConfiguration configuration
    )
        where TReading : struct, IReading<TReading>
    {
        var sound = SoundTimes(recordedAt, configuration.Calendar);
        return batch.Readings.Count(reading => !sound.Hold(reading.MeasuredAtMilliseconds));
    }

    /// <summary>The valid times of what was recorded at a moment.</summary>
    internal static Times SoundTimes(DateTimeOffset recordedAt, FarmCalendar? calendar) =>
        new(
            calendar?.LedgerBeginsMilliseconds ?? long.MinValue,
            recordedAt.ToUnixTimeMilliseconds() + AheadMillisecondsMax
        );

    /// <summary>From one moment to another, both included, in milliseconds since 1970.</summary>
    internal readonly record struct Times(long From, long To)
    {
        public bool Hold(long milliseconds) => milliseconds >= From && milliseconds <= To;
    }
}
