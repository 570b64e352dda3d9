using NutrientLedger.Agronomy.Spreading;
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
        var decided = configuration.Decided(batch.EquipmentId, TelemetryStream.Spread, batch.Boot);
        // A decision may move a reading's time. Where there is none, a batch outside all windows is skipped at once.
        if (
            decided.IsEmpty
            && !windows.Any(window =>
                batch.WithNeighbours().Any(reading => window.ReadsFrom(reading.MeasuredAtMilliseconds))
            )
        )
            return;
        var sound = QuestionableTime.SoundTimes(recordedAt, calendar);
        var seq = batch.Before is null ? batch.FirstSeq : batch.FirstSeq - 1;
        SpreadReading? last = null;
        foreach (var reading in batch.WithNeighbours())
        {
            var current = decided[seq++].Read(reading, sound);
            if (last is { } a && current is { } b)
            {
                Add(batch.EquipmentId, a, b);
                // The number is already that of the reading after b.
                Hold(batch.EquipmentId, batch.Boot, seq - 2, a, b);
            }
            last = current;
        }
    }

    private void Hold(string equipmentId, long boot, long seq, in SpreadReading a, in SpreadReading b)
    {
        foreach (var window in windows)
            if (window.ApplicatorId == equipmentId && window.ReadsFrom(a.MeasuredAtMilliseconds))
            {
                hose.Add(equipmentId, boot, seq, a, b, Content(a));
                return;
            }
    }

    private void Add(string equipmentId, in SpreadReading a, in SpreadReading b)
    {
        var at = a.MeasuredAtMilliseconds;
        var inTime = false;
        foreach (var window in windows)
            inTime |= window.ApplicatorId is null && window.Holds(at);
        if (!inTime || configuration.SensorFor(equipmentId, at)?.SensorId != sensorId)
            return;
        var metered = MeterInterval.VolumeMillilitres(
            a.TotalMillilitres,
            b.TotalMillilitres,
            a.FlowMillilitresPerSecond,
            b.FlowMillilitresPerSecond,
            b.MeasuredAtMilliseconds - at,
            configuration.Applicator(equipmentId)?.MeterModulusMillilitres
        );
        if (metered is not { } volume)
            return;
        var more = PassedContent.Of(volume, Content(a));
        var pit = configuration.PitFeeding(equipmentId, at);
        for (var i = 0; i < passed.Length; i++)
            if (windows[i].Holds(at) && (windows[i].PitId is null || windows[i].PitId == pit))
                passed[i] += more;
    }

    private int? Content(in SpreadReading reading) =>
        analyte switch
        {
            Analyte.DryMatter => reading.DryMatterPartsPerMillion,
            Analyte.TotalNitrogen => reading.TotalNitrogenMilligramsPerLitre,
            Analyte.AmmoniumNitrogen => reading.AmmoniumNitrogenMilligramsPerLitre,
            Analyte.Phosphorus => reading.PhosphorusMilligramsPerLitre,
            Analyte.Potassium => reading.PotassiumMilligramsPerLitre,
            _ => throw new InvalidOperationException($"There is no column for {analyte}."),
        };
}
