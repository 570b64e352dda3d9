using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Agronomy.Units;

namespace NutrientLedger.Agronomy.Nutrients;

/// <summary>Phosphorus and potassium that a crop can use in a year: the total times a figure of the set; year 1 is that of application.</summary>
public static class MineralAvailability
{
    public static Reckoned<T> OfPhosphorus<T>(int year, T total, Circumstances circumstances, FactorSet set)
        where T : struct, INutrientAmount<T, Phosphorus> =>
        Share<T, Phosphorus>(FigureKind.PhosphorusAvailable, year, total, circumstances, set);

    public static Reckoned<T> OfPotassium<T>(int year, T total, Circumstances circumstances, FactorSet set)
        where T : struct, INutrientAmount<T, Potassium> =>
        Share<T, Potassium>(FigureKind.PotassiumAvailable, year, total, circumstances, set);

    private static Reckoned<T> Share<T, TNutrient>(
        FigureKind kind,
        int year,
        T total,
        Circumstances circumstances,
        FactorSet set
    )
        where T : struct, INutrientAmount<T, TNutrient>
        where TNutrient : INutrient
    {
        var reckoning = new Reckoning(set);
        return reckoning.Close(total * reckoning.Value(kind, circumstances with { Year = year }));
    }
}
