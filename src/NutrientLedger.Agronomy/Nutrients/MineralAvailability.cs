using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Agronomy.Factors.Conditions;
using NutrientLedger.Agronomy.Units;
using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Agronomy.Nutrients;

/// <summary>
/// Phosphorus and potassium that a crop can use in a year: the total times a coefficient of the set. Year 1 is the year
/// of application.
/// </summary>
public static class MineralAvailability
{
    public static TracedValue<T> OfPhosphorus<T>(int year, T total, Circumstances circumstances, FactorSet set)
        where T : struct, INutrientAmount<T, Phosphorus> =>
        Share<T, Phosphorus>(CoefficientKind.PhosphorusAvailable, year, total, circumstances, set);

    public static TracedValue<T> OfPotassium<T>(int year, T total, Circumstances circumstances, FactorSet set)
        where T : struct, INutrientAmount<T, Potassium> =>
        Share<T, Potassium>(CoefficientKind.PotassiumAvailable, year, total, circumstances, set);

    private static TracedValue<T> Share<T, TNutrient>(
        CoefficientKind kind,
        int year,
        T total,
        Circumstances circumstances,
        FactorSet set
    )
        where T : struct, INutrientAmount<T, TNutrient>
        where TNutrient : INutrient
    {
        var provenance = new Provenance(set);
        return provenance.Trace(total * provenance.Value(kind, circumstances with { Year = year }));
    }
}
