using NutrientLedger.Journal;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Sampling;

/// <summary>
/// The readings that a calibration corrects: what passed one sensor, by farm hour, from one moment on (ms since 1970)
/// to before another, of one pit's manure or of all. Batches may come in any order. Void readings and those of
/// questionable time stay out.
/// </summary>
public sealed class SensorHours(
    FarmConfiguration configuration,
    string sensorId,
    Analyte analyte,
    long fromMilliseconds,
    long untilMilliseconds,
    string? pitId = null
)
{
    private readonly Dictionary<long, PassedContent> hours = [];

    public long FromMilliseconds => fromMilliseconds;

    public long UntilMilliseconds => untilMilliseconds;

    public void Add(ReadingBatch<SpreadReading> batch, DateTimeOffset recordedAt)
    {
        if (configuration.Calendar is not { } calendar)
            return;
        foreach (var interval in SensorInterval.Of(configuration, calendar, batch, recordedAt))
        {
            var at = interval.AtMilliseconds;
            if (
                at < fromMilliseconds
                || at >= untilMilliseconds
                || interval.Content(analyte) is not { } content
                || configuration.SensorFor(interval.EquipmentId, at)?.SensorId != sensorId
                || (pitId is not null && configuration.PitFeeding(interval.EquipmentId, at) != pitId)
                || interval.VolumeMillilitres(configuration) is not { } volume
            )
                continue;
            var hour = calendar.HourStartSeconds(at);
            hours[hour] = hours.GetValueOrDefault(hour) + PassedContent.Of(volume, content);
        }
    }

    /// <summary>
    /// How these readings lie against the range of a sensor's values in its samples, which is given by its ends.
    /// </summary>
    public ReadingsOutside Outside(double low, double high)
    {
        var (all, outside) = (0L, 0L);
        foreach (var passed in hours.Values)
        {
            all += passed.VolumeMillilitres;
            if (
                passed.Mean < low * (1 - ReadingsOutside.BeyondMax)
                || passed.Mean > high * (1 + ReadingsOutside.BeyondMax)
            )
                outside += passed.VolumeMillilitres;
        }
        return new(low, high, all, outside);
    }
}
