using NutrientLedger.Agronomy.Spreading;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Readings;

/// <summary>A reading beside missing ones: when it was measured, and the meter's running total in mL where a meter told one.</summary>
public readonly record struct MeterMark(DateTimeOffset MeasuredAt, long? TotalMillilitres);

/// <summary>What ran through an applicator's meter while readings are missing.</summary>
public static class MissedVolume
{
    /// <summary>In mL, by the running totals on both sides; nothing where a side is missing or the totals do not tell.</summary>
    public static long? Millilitres(
        FarmConfiguration configuration,
        string applicatorId,
        MeterMark? before,
        MeterMark? after
    ) =>
        (before, after) is ({ } a, { } b)
            ? MeterInterval.VolumeMillilitres(
                a.TotalMillilitres,
                b.TotalMillilitres,
                flowA: null,
                flowB: null,
                (long)(b.MeasuredAt - a.MeasuredAt).TotalMilliseconds,
                configuration.Applicator(applicatorId)?.MeterModulusMillilitres
            )
            : null;

    /// <summary>The sum of those that are known, in mL; nothing where none is.</summary>
    public static long? Sum(IReadOnlyCollection<long?> millilitres) =>
        millilitres.Any(volume => volume is not null) ? millilitres.Sum() : null;
}
