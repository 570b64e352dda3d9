using NutrientLedger.Journal;

namespace NutrientLedger.Ledger;

/// <summary>
/// Readings side by side, stored in one entry, whose time is in doubt and about which nobody has decided. The shift is what the device's clock seems to lack: when the
/// entry was recorded less the last time claimed in it (ms); right for readings sent as they were measured, too much for those sent late.
/// </summary>
public sealed record DoubtfulStretch(
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
    /// <summary>The stretches of one pack's own readings.</summary>
    public static IEnumerable<DoubtfulStretch> Of<TReading>(
        Pack<TReading> pack,
        DateTimeOffset recordedAt,
        Register register
    )
        where TReading : struct, IReading<TReading>
    {
        var sound = Doubtful.SoundTimes(recordedAt, register.Calendar);
        var decided = register.Decided(pack.EquipmentId, TReading.Stream, pack.Boot);
        for (var i = 0; i < pack.Readings.Length; i++)
        {
            var first = i;
            while (i < pack.Readings.Length && Waits(i))
                i++;
            if (i == first)
                continue;
            var claimed = pack.Readings[first..i].Select(reading => reading.MeasuredAtMilliseconds).ToArray();
            yield return new(
                pack.EquipmentId,
                TReading.Stream,
                pack.Boot,
                pack.FirstSeq + first,
                pack.FirstSeq + i - 1,
                claimed.Min(),
                claimed.Max(),
                recordedAt,
                recordedAt.ToUnixTimeMilliseconds() - claimed.Max()
            );
        }

        bool Waits(int i) =>
            decided[pack.FirstSeq + i] is { Clock: null, WholeVoid: false }
            && !sound.Hold(pack.Readings[i].MeasuredAtMilliseconds);
    }
}
