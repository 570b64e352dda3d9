using NutrientLedger.Agronomy.Spreading;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Persistence.Gaps;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Contracts.Readings;

namespace NutrientLedger.Web.Queries;

/// <summary>Writes out how the senders of readings fare.</summary>
internal static class DeviceMapping
{
    /// <summary>A sender that numbers by leaps may have thousands of gaps; these are named, all are counted.</summary>
    private const int GapsNamed = 100;

    private const double MillilitresPerCubicMetre = 1e6;

    public static DeviceResponse Device(DeviceState device, FarmConfiguration configuration)
    {
        var modulus = configuration
            .Applicators.FirstOrDefault(applicator => applicator.ApplicatorId == device.EquipmentId)
            ?.MeterModulusMillilitres;
        var volumes = device.OpenGaps.Select(gap => Metered(gap, modulus)).ToList();
        return new(
            device.EquipmentId,
            ApiWords.Of(device.Stream),
            device.LastRecordedAt,
            device.LastMeasuredAt,
            device.ReadingsStored,
            device.ReadingsDuplicate,
            device.ReadingsQuestionable,
            device.Gaps.Sum(gap => gap.LastSeq - gap.FirstSeq + 1),
            device.OpenGaps.Count,
            CubicMetres(volumes.Any(volume => volume is not null) ? volumes.Sum() : null),
            [.. device.OpenGaps.Zip(volumes, Gap).Take(GapsNamed)],
            device.ClockAhead?.TotalSeconds
        );
    }

    private static GapResponse Gap(OpenGap gap, long? millilitres) =>
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
