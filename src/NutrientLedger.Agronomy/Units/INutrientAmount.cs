using System.Numerics;
using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Agronomy.Units;

/// <summary>
/// An amount of a nutrient in any of its measures: a mass, a mass per area, per volume or per fresh mass. Sums and shares are
/// the same arithmetic in all of them, so availability is written once.
/// </summary>
public interface INutrientAmount<TSelf, TNutrient>
    : IAdditionOperators<TSelf, TSelf, TSelf>,
        ISubtractionOperators<TSelf, TSelf, TSelf>,
        IMultiplyOperators<TSelf, double, TSelf>
    where TSelf : struct, INutrientAmount<TSelf, TNutrient>
    where TNutrient : INutrient
{
    /// <summary>The number alone, in the unit in which the measure is kept.</summary>
    double Amount { get; }
}
