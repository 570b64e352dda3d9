using System.Numerics;
using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Agronomy.Units;

/// <summary>
/// An amount of a nutrient in any measure: mass, or mass per area, volume or fresh mass. Sums and shares work the same
/// in all of them, so availability is written once.
/// </summary>
public interface INutrientAmount<TSelf, TNutrient>
    : IAdditionOperators<TSelf, TSelf, TSelf>,
        ISubtractionOperators<TSelf, TSelf, TSelf>,
        IMultiplyOperators<TSelf, double, TSelf>
    where TSelf : struct, INutrientAmount<TSelf, TNutrient>
    where TNutrient : INutrient
{
    /// <summary>The number alone, in the unit of the measure.</summary>
    double Amount { get; }
}
