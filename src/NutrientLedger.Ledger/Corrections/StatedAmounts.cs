using System.Text.Json.Serialization;
using NutrientLedger.Agronomy.Units.Chemistry;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Ledger.Corrections;

/// <summary>
/// What a statement says of some ledger lines under two configurations. Volumes and the masses of nitrogen are exact;
/// oxides, dry matter and shares are given to nine decimals. At least says that part of the volume, before or after,
/// came without a content. What was spread inside no-spread zones is left out where it is nothing before and after. So
/// is the number of intervals whose volume is unknown; with any, volumes are minimums.
/// </summary>
public sealed record StatedAmounts(
    StatedAmount VolumeCubicMetres,
    StatedAmount DisengagedCubicMetres,
    StatedAmount NotPlacedCubicMetres,
    StatedAmount TotalNitrogenKilograms,
    StatedAmount AmmoniumNitrogenKilograms,
    StatedAmount P2O5Kilograms,
    StatedAmount K2OKilograms,
    StatedAmount DryMatterPercent,
    StatedAmount FlaggedShareOfVolume,
    bool AtLeast,
    [property: JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
        StatedAmount? InNoSpreadZonesCubicMetres = null,
    [property: JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)] StatedAmount? UnknownIntervals = null
)
{
    /// <summary>Decimals of what is not exact by nature: a microgram of a kilogram.</summary>
    internal const int Decimals = 9;

    private const decimal MillilitresPerCubicMetre = 1e6m;

    // Corrected sums are millionths of a microgram.
    private const long MillionthsPerKilogram = 1_000_000_000_000_000;

    /// <summary>Whether any stated amount differs.</summary>
    internal bool Differ =>
        VolumeCubicMetres.Differs
        || DisengagedCubicMetres.Differs
        || NotPlacedCubicMetres.Differs
        || TotalNitrogenKilograms.Differs
        || AmmoniumNitrogenKilograms.Differs
        || P2O5Kilograms.Differs
        || K2OKilograms.Differs
        || DryMatterPercent.Differs
        || FlaggedShareOfVolume.Differs
        || InNoSpreadZonesCubicMetres is { Differs: true }
        || UnknownIntervals is { Differs: true };

    /// <summary>The same lines, or rebuilt lines, before and after.</summary>
    public static StatedAmounts Of(SpreadAmounts before, SpreadAmounts after)
    {
        return new(
            Both(amounts => CubicMetres(amounts.Sums.VolumeMillilitres)),
            Both(amounts => CubicMetres(amounts.Sums.DisengagedMillilitres)),
            Both(amounts => CubicMetres(amounts.Sums.NotPlacedMillilitres)),
            Both(amounts => Kilograms(amounts.Calibrated.TotalNitrogen)),
            Both(amounts => Kilograms(amounts.Calibrated.AmmoniumNitrogen)),
            Both(amounts => Oxide(amounts.Calibrated.Phosphorus, Oxides.P2O5PerPhosphorus)),
            Both(amounts => Oxide(amounts.Calibrated.Potassium, Oxides.K2OPerPotassium)),
            Both(amounts => Rounded(amounts.DryMatter.MeanFraction * 100)),
            Both(amounts => Rounded(amounts.FlaggedShare)),
            IsAtLeast(before) || IsAtLeast(after),
            before.InNoSpreadZones is null && after.InNoSpreadZones is null
                ? null
                : Both(amounts => CubicMetres(amounts.InNoSpreadZones?.Sums.VolumeMillilitres ?? 0)),
            before.UnknownIntervals == 0 && after.UnknownIntervals == 0
                ? null
                : Both(amounts => amounts.UnknownIntervals)
        );

        StatedAmount Both(Func<SpreadAmounts, decimal?> of) => new(of(before), of(after));
    }

    internal static decimal? Rounded(double? value) =>
        value is { } number ? Math.Round((decimal)number, Decimals) : null;

    private static decimal? CubicMetres(long millilitres) => millilitres / MillilitresPerCubicMetre;

    // Whole kilograms first: a decimal holds 28 digits, and no sum whatever may break a statement.
    private static decimal? Kilograms(Int128 millionths) =>
        (decimal)(millionths / MillionthsPerKilogram)
        + (decimal)(millionths % MillionthsPerKilogram) / MillionthsPerKilogram;

    private static decimal? Oxide(Int128 millionths, double perElement) =>
        Math.Round(Kilograms(millionths)!.Value * (decimal)perElement, Decimals);

    private static bool IsAtLeast(SpreadAmounts amounts) =>
        amounts.TotalNitrogen.AtLeast
        || amounts.AmmoniumNitrogen.AtLeast
        || amounts.Phosphorus.AtLeast
        || amounts.Potassium.AtLeast;
}
