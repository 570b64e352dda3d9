using NutrientLedger.Agronomy.Spreading;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Sampling;

/// <summary>
/// Two neighbouring readings with the number of the first, as they are posted: void readings and those of questionable
/// time stay out.
/// </summary>
internal readonly record struct SensorInterval(
    string EquipmentId,
    long Boot,
    long Seq,
    SpreadReading A,
    SpreadReading B
)
{
    /// <summary>All intervals of a batch and its neighbours, under the decisions of a configuration.</summary>
    public static IEnumerable<SensorInterval> Of(
        FarmConfiguration configuration,
        FarmCalendar calendar,
        ReadingBatch<SpreadReading> batch,
        DateTimeOffset recordedAt
    )
    {
        var decided = configuration.Decided(batch.EquipmentId, TelemetryStream.Spread, batch.Boot);
        var sound = QuestionableTime.SoundTimes(recordedAt, calendar);
        var seq = batch.Before is null ? batch.FirstSeq : batch.FirstSeq - 1;
        SpreadReading? last = null;
        foreach (var reading in batch.WithNeighbours())
        {
            var current = decided[seq].Read(reading, sound);
            if (last is { } a && current is { } b)
                yield return new(batch.EquipmentId, batch.Boot, seq - 1, a, b);
            last = current;
            seq++;
        }
    }

    public long AtMilliseconds => A.MeasuredAtMilliseconds;

    /// <summary>The volume by the meter, in mL. Null where it is unknown.</summary>
    public long? VolumeMillilitres(FarmConfiguration configuration) =>
        MeterInterval.VolumeMillilitres(
            A.TotalMillilitres,
            B.TotalMillilitres,
            A.FlowMillilitresPerSecond,
            B.FlowMillilitresPerSecond,
            B.MeasuredAtMilliseconds - A.MeasuredAtMilliseconds,
            configuration.Applicator(EquipmentId)?.MeterModulusMillilitres
        );

    /// <summary>What the first reading says of an analyte: mg/L, or ppm for dry matter.</summary>
    public int? Content(Analyte analyte) =>
        analyte switch
        {
            Analyte.DryMatter => A.DryMatterPartsPerMillion,
            Analyte.TotalNitrogen => A.TotalNitrogenMilligramsPerLitre,
            Analyte.AmmoniumNitrogen => A.AmmoniumNitrogenMilligramsPerLitre,
            Analyte.Phosphorus => A.PhosphorusMilligramsPerLitre,
            Analyte.Potassium => A.PotassiumMilligramsPerLitre,
            _ => throw new InvalidOperationException($"There is no column for {analyte}."),
        };
}
