using NutrientLedger.Journal;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Sampling;

/// <summary>
/// Sums up what one sensor measured of one analyte in the windows of samples, batch by batch. The intervals are those
/// that are posted: two neighbouring readings, volume by the meter, the content and the time of the first. Void
/// readings and those of questionable time stay out. A sample taken at the applicator is compared with what a sensor at
/// the pump measured one hose volume earlier. All sums are whole numbers: neither order nor cutting of the batches
/// makes a difference.
/// </summary>
public sealed class SensorWindowSums(
    FarmConfiguration configuration,
    string sensorId,
    Analyte analyte,
    IReadOnlyList<SampledWindow> windows
)
{
    private readonly PassedContent[] passed = new PassedContent[windows.Count];
    private readonly HoseColumn hose = new(configuration, sensorId);

    /// <summary>One sum for each window, in their order.</summary>
    public IReadOnlyList<PassedContent> Passed =>
        [.. windows.Zip(passed, (window, sum) => window.ApplicatorId is null ? sum : hose.Landed(window))];

    public void Add(ReadingBatch<SpreadReading> batch, DateTimeOffset recordedAt)
    {
        if (configuration.Calendar is not { } calendar)
            return;
        // A decision may move a reading's time. Where there is none, a batch outside all windows is skipped at once.
        if (
            configuration.Decided(batch.EquipmentId, TelemetryStream.Spread, batch.Boot).IsEmpty
            && !windows.Any(window =>
                batch.WithNeighbours().Any(reading => window.ReadsFrom(reading.MeasuredAtMilliseconds))
            )
        )
            return;
        foreach (var interval in SensorInterval.Of(configuration, calendar, batch, recordedAt))
        {
            Add(interval);
            Hold(interval);
        }
    }

    private void Hold(in SensorInterval interval)
    {
        foreach (var window in windows)
            if (window.ApplicatorId == interval.EquipmentId && window.ReadsFrom(interval.AtMilliseconds))
            {
                var (equipmentId, boot, seq, a, b) = interval;
                hose.Add(equipmentId, boot, seq, a, b, interval.Content(analyte));
                return;
            }
    }

    private void Add(in SensorInterval interval)
    {
        var at = interval.AtMilliseconds;
        var inTime = false;
        foreach (var window in windows)
            inTime |= window.ApplicatorId is null && window.Holds(at);
        if (!inTime || configuration.SensorFor(interval.EquipmentId, at)?.SensorId != sensorId)
            return;
        if (interval.VolumeMillilitres(configuration) is not { } volume)
            return;
        var more = PassedContent.Of(volume, interval.Content(analyte));
        var pit = configuration.PitFeeding(interval.EquipmentId, at);
        for (var i = 0; i < passed.Length; i++)
            if (windows[i].Holds(at) && (windows[i].PitId is null || windows[i].PitId == pit))
                passed[i] += more;
    }
}
