using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Levels;

/// <summary>The single levels of one pit in a batch, by the rules by which level hours are posted.</summary>
public static class PitLevels
{
    public static IEnumerable<LevelAt> Of(
        ReadingBatch<LevelReading> batch,
        DateTimeOffset recordedAt,
        FarmConfiguration configuration,
        string pitId
    )
    {
        var decided = configuration.Decided(batch.EquipmentId, TelemetryStream.Store, batch.Boot);
        var sound = QuestionableTime.SoundTimes(recordedAt, configuration.Calendar);
        var seq = batch.FirstSeq;
        foreach (var reading in batch.Readings)
            if (
                decided[seq++].Read(reading, sound) is { MeasuredAtMilliseconds: var at, LevelMillimetres: { } level }
                && configuration.PitMeasuredBy(batch.EquipmentId, at) == pitId
            )
                yield return new(at, level);
    }
}
