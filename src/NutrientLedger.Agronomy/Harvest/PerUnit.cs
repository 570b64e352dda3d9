using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Agronomy.Units;

namespace NutrientLedger.Agronomy.Harvest;

/// <summary>Applies a removal coefficient to a yield, in whatever unit its bulletin prints it.</summary>
internal static class PerUnit
{
    /// <summary>Kilograms removed; null when the coefficient and the yield have different measures.</summary>
    public static double? Kilograms(UsedCoefficient used, HarvestedYield yield) =>
        (yield, used.Coefficient.Unit) switch
        {
            (BushelYield counted, RemovalUnit.PoundsPerBushel) => counted.Bushels
                * used.Value
                * Definitions.KilogramsPerPound,
            (WeighedYield weighed, RemovalUnit.PoundsPerShortTon) => FreshKilograms(weighed, used.Coefficient)
                * used.Value
                / Definitions.PoundsPerShortTon,
            (WeighedYield weighed, RemovalUnit.KilogramsPerTonne) => FreshKilograms(weighed, used.Coefficient)
                * used.Value
                / Definitions.KilogramsPerTonne,
            (WeighedYield weighed, RemovalUnit.PercentOfFreshMass) => FreshKilograms(weighed, used.Coefficient)
                * used.Value
                / Definitions.Percent,
            (WeighedYield weighed, RemovalUnit.PoundsPerShortTonDry) => weighed.DryKilograms
                * used.Value
                / Definitions.PoundsPerShortTon,
            (WeighedYield weighed, RemovalUnit.PercentOfDryMatter) => weighed.DryKilograms
                * used.Value
                / Definitions.Percent,
            _ => null,
        };

    /// <summary>The crop at the dry matter of the coefficient, or as harvested when the source states none.</summary>
    private static double FreshKilograms(WeighedYield weighed, Coefficient coefficient) =>
        coefficient.AtDryMatterPercent is { } percent
            ? weighed.At(DryMatter.FromPercent(percent)).Fresh.Kilograms
            : weighed.Fresh.Kilograms;
}
