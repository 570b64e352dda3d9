using NutrientLedger.Agronomy.Spreading;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Readings;

/// <summary>
/// A reading beside missing ones: its measured time, and the meter's running total in mL where it has one.
/// </summary>
public readonly record struct MeterMark(DateTimeOffset MeasuredAt, long? TotalMillilitres);

/// <summary>The volume through an applicator's meter while readings are missing.</summary>
public static class MissedVolume
{
    /// <summary>
    /// In mL, by the running totals on both sides. Null where a side is missing or the totals do not show it.
    /// </summary>
    public static long? Millilitres(
        FarmConfiguration configuration,
        string applicatorId,
        MeterMark? before,
        MeterMark? after
    ) =>
        (before, after) is ({ TotalMillilitres: { } from } a, { TotalMillilitres: { } to } b)
            ? MeterInterval.AcrossMillilitres(
                from,
                to,
                (long)(b.MeasuredAt - a.MeasuredAt).TotalMilliseconds,
                configuration.Applicator(applicatorId)?.MeterModulusMillilitres
            )
            : null;

    /// <summary>The sum of the known ones, in mL. Null where none is known.</summary>
    public static long? Sum(IReadOnlyCollection<long?> millilitres) =>
        millilitres.Any(volume => volume is not null) ? millilitres.Sum() : null;
}
