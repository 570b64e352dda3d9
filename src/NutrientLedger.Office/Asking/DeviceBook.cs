using NutrientLedger.Agronomy.Spreading;
using NutrientLedger.Ledger;
using NutrientLedger.Office.Answers;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Asking;

/// <summary>Writes out how the senders of readings fare.</summary>
internal static class DeviceBook
{
    /// <summary>A sender that numbers by leaps may have thousands of gaps; these are named, all are counted.</summary>
    private const int GapsNamed = 100;

    private const double MillilitresPerCubicMetre = 1e6;

    public static DeviceAnswer Device(DeviceState device, Register register)
    {
        var modulus = register
            .Applicators.FirstOrDefault(applicator => applicator.ApplicatorId == device.EquipmentId)
            ?.MeterModulusMillilitres;
        var volumes = device.OpenGaps.Select(gap => Metered(gap, modulus)).ToList();
        return new(
            device.EquipmentId,
            TradeWords.Of(device.Stream),
            device.LastRecordedAt,
            device.LastMeasuredAt,
            device.ReadingsStored,
            device.ReadingsDuplicate,
            device.ReadingsDoubtful,
            device.Gaps.Sum(gap => gap.LastSeq - gap.FirstSeq + 1),
            device.OpenGaps.Count,
            CubicMetres(volumes.Any(volume => volume is not null) ? volumes.Sum() : null),
            [.. device.OpenGaps.Zip(volumes, Gap).Take(GapsNamed)],
            device.ClockAhead?.TotalSeconds
        );
    }

    private static GapAnswer Gap(OpenGap gap, long? millilitres) =>
        new(
            gap.Numbers.Boot,
            gap.Numbers.FirstSeq,
            gap.Numbers.LastSeq,
            gap.Numbers.LastSeq - gap.Numbers.FirstSeq + 1,
            gap.Since,
            gap.Before?.MeasuredAt,
            gap.After?.MeasuredAt,
            CubicMetres(millilitres)
        );

    /// <summary>What ran through the meter while numbers are missing, where both sides tell its running total.</summary>
    private static long? Metered(OpenGap gap, long? modulusMillilitres) =>
        gap is { Before: { } before, After: { } after }
            ? MeterInterval.VolumeMillilitres(
                before.TotalMillilitres,
                after.TotalMillilitres,
                flowA: null,
                flowB: null,
                (long)(after.MeasuredAt - before.MeasuredAt).TotalMilliseconds,
                modulusMillilitres
            )
            : null;

    private static double? CubicMetres(long? millilitres) => millilitres / MillilitresPerCubicMetre;
}
