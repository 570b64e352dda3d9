using NutrientLedger.Journal;
using NutrientLedger.Journal.Weather;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Weather;

/// <summary>The running total of a rain gauge at a moment: ms since 1970 (UTC), micrometres.</summary>
public readonly record struct RainTotal(string GaugeId, long AtMilliseconds, long Micrometres)
{
    /// <summary>
    /// The totals of a batch. Void readings and those of questionable time are left out, and decided clocks apply.
    /// </summary>
    public static IEnumerable<RainTotal> Of(
        ReadingBatch<WeatherReading> batch,
        DateTimeOffset recordedAt,
        FarmConfiguration configuration
    )
    {
        var decided = configuration.Decided(batch.EquipmentId, TelemetryStream.Weather, batch.Boot);
        var sound = QuestionableTime.SoundTimes(recordedAt, configuration.Calendar);
        var seq = batch.FirstSeq;
        foreach (var reading in batch.Readings)
            if (
                decided[seq++].TimeOf(reading.MeasuredAtMilliseconds, sound) is { } at
                && reading.RainTotalMicrometres is { } total
            )
                yield return new(batch.EquipmentId, at, total);
    }
}
