using NutrientLedger.Journal;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Readings;

/// <summary>
/// Consecutive readings with a questionable time that nobody has decided. The shift is what the device's clock seems to
/// lack (ms). It is the time an event was recorded less the last measured time in it. It is right for readings sent as
/// they were measured, and too much for those sent late. So the least of several events is used.
/// </summary>
public sealed record QuestionableRange(
    string EquipmentId,
    TelemetryStream Stream,
    long Boot,
    long FirstSeq,
    long LastSeq,
    long ClaimedFromMilliseconds,
    long ClaimedToMilliseconds,
    DateTimeOffset RecordedAt,
    long EstimatedShiftMilliseconds
)
{
    // Levels come every few hours at times. A jump of more than a day means another clock.
    private const long LeapMillisecondsMax = 86_400_000;

    /// <summary>
    /// Joins ranges whose numbers follow each other, in whatever events and order they came, as long as one clock runs
    /// through. A new range begins where the measured time falls back or jumps by more than a day. Ranges are in the
    /// order in which they began to be recorded.
    /// </summary>
    public static IReadOnlyList<QuestionableRange> Joined(IEnumerable<QuestionableRange> ranges)
    {
        var joined = new List<QuestionableRange>();
        foreach (
            var next in ranges
                .OrderBy(it => it.EquipmentId, StringComparer.Ordinal)
                .ThenBy(it => (it.Stream, it.Boot, it.FirstSeq))
        )
            if (joined.Count > 0 && joined[^1].GoesOnIn(next))
                joined[^1] = joined[^1].With(next);
            else
                joined.Add(next);
        return [.. joined.OrderBy(it => it.RecordedAt)];
    }

    /// <summary>The ranges of one batch's own readings.</summary>
    public static IEnumerable<QuestionableRange> Of<TReading>(
        ReadingBatch<TReading> batch,
        DateTimeOffset recordedAt,
        FarmConfiguration configuration
    )
        where TReading : struct, IReading<TReading>
    {
        var sound = QuestionableTime.SoundTimes(recordedAt, configuration.Calendar);
        var decided = configuration.Decided(batch.EquipmentId, TReading.Stream, batch.Boot);
        for (int first = 0, i; first < batch.Readings.Length; first = i)
        {
            i = first + 1;
            if (!Waits(first))
                continue;
            while (i < batch.Readings.Length && Waits(i) && GoesOn(At(i - 1), At(i)))
                i++;
            var claimed = batch.Readings[first..i].Select(reading => reading.MeasuredAtMilliseconds).ToArray();
            yield return new(
                batch.EquipmentId,
                TReading.Stream,
                batch.Boot,
                batch.FirstSeq + first,
                batch.FirstSeq + i - 1,
                claimed.Min(),
                claimed.Max(),
                recordedAt,
                recordedAt.ToUnixTimeMilliseconds() - claimed.Max()
            );
        }

        long At(int i) => batch.Readings[i].MeasuredAtMilliseconds;

        bool Waits(int i) => decided[batch.FirstSeq + i] is { Clock: null, WholeVoid: false } && !sound.Hold(At(i));
    }

    private bool GoesOnIn(QuestionableRange next) =>
        (EquipmentId, Stream, Boot, LastSeq + 1) == (next.EquipmentId, next.Stream, next.Boot, next.FirstSeq)
        && GoesOn(ClaimedToMilliseconds, next.ClaimedFromMilliseconds);

    /// <summary>Whether one clock can have given both moments, one after the other.</summary>
    private static bool GoesOn(long before, long after) => after - before is >= 0 and <= LeapMillisecondsMax;

    private QuestionableRange With(QuestionableRange next) =>
        this with
        {
            LastSeq = next.LastSeq,
            ClaimedToMilliseconds = next.ClaimedToMilliseconds,
            RecordedAt = RecordedAt < next.RecordedAt ? RecordedAt : next.RecordedAt,
            EstimatedShiftMilliseconds = Math.Min(EstimatedShiftMilliseconds, next.EstimatedShiftMilliseconds),
        };
}
