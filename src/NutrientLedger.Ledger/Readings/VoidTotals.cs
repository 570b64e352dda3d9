using NutrientLedger.Agronomy.Spreading;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Readings;

/// <summary>Finds out what a meter counted across readings whose totals are to be void.</summary>
public sealed class VoidTotals(FarmConfiguration configuration, DecisionCandidate readings)
{
    private SpreadReading? before;
    private SpreadReading? after;

    /// <summary>Looks in a batch for the readings just before and after the range, with decisions applied.</summary>
    public void Add(ReadingBatch<SpreadReading> batch, DateTimeOffset recordedAt)
    {
        var sound = QuestionableTime.SoundTimes(recordedAt, configuration.Calendar);
        var decided = configuration.Decided(batch.EquipmentId, TelemetryStream.Spread, batch.Boot);
        for (var i = 0; i < batch.Readings.Length; i++)
        {
            var seq = batch.FirstSeq + i;
            if (seq == readings.FirstSeq - 1)
                before = decided[seq].Read(batch.Readings[i], sound);
            else if (seq == readings.LastSeq + 1)
                after = decided[seq].Read(batch.Readings[i], sound);
        }
    }

    /// <summary>
    /// What it counted. Null where one of the two is not stored, does not count or has no total, or where so much
    /// cannot have run.
    /// </summary>
    public MeteredAcross? Across =>
        (before, after) is ({ TotalMillilitres: { } from } a, { TotalMillilitres: { } to } b)
        && MeterInterval.AcrossMillilitres(
            from,
            to,
            b.MeasuredAtMilliseconds - a.MeasuredAtMilliseconds,
            configuration.Applicator(readings.EquipmentId!)?.MeterModulusMillilitres
        )
            is { } ran
            ? new(from, ran)
            : null;
}
