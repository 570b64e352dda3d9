using NutrientLedger.Agronomy.Units;
using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Agronomy.Value;

/// <summary>The price of one nutrient, money per kg. The currency is the farm's own.</summary>
public readonly record struct NutrientPrice<T>(double PerKilogram)
    where T : INutrient
{
    public static double operator *(NutrientPrice<T> price, Mass<T> mass) => price.PerKilogram * mass.Kilograms;
}

/// <summary>Makes nutrient prices from the ways in which they are quoted.</summary>
public static class NutrientPrices
{
    public static NutrientPrice<T> PerPound<T>(double money)
        where T : INutrient => new(money / Definitions.KilogramsPerPound);

    /// <summary>
    /// From a fertilizer: the price of an amount, less the worth of its other nutrients, over the nutrient in it.
    /// Without the deduction, the nitrogen of a phosphate fertilizer would be paid twice.
    /// </summary>
    public static NutrientPrice<T> FromFertilizer<T>(
        double money,
        FreshMass fertilizer,
        FreshContent<T> content,
        double otherNutrientsWorth
    )
        where T : INutrient => new((money - otherNutrientsWorth) / (content * fertilizer).Kilograms);
}
