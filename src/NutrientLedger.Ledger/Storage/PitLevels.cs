using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Ledger;

/// <summary>The single levels of one pit in a pack, by the rules by which level hours are posted.</summary>
public static class PitLevels
{
    public static IEnumerable<LevelAt> Of(
        Pack<LevelReading> pack,
        DateTimeOffset recordedAt,
        Register register,
        string pitId
    )
    {
        var decided = register.Decided(pack.EquipmentId, TelemetryStream.Store, pack.Boot);
        var sound = Doubtful.SoundTimes(recordedAt, register.Calendar);
        var seq = pack.FirstSeq;
        foreach (var reading in pack.Readings)
            if (
                decided[seq++].Read(reading, sound) is { MeasuredAtMilliseconds: var at, LevelMillimetres: { } level }
                && register.PitMeasuredBy(pack.EquipmentId, at) == pitId
            )
                yield return new(at, level);
    }
}
