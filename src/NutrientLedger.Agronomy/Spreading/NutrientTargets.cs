using NutrientLedger.Agronomy.Units;
using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Agronomy.Spreading;

/// <summary>A nutrient that a plan may limit.</summary>
public enum LimitedNutrient
{
    TotalNitrogen = 1,
    AvailableNitrogen = 2,
    P2O5 = 3,
    K2O = 4,
}

/// <summary>What a plan allows from manure per hectare. Null means no limit.</summary>
public sealed record NutrientTargets(
    NutrientRate<Nitrogen>? TotalNitrogen = null,
    NutrientRate<Nitrogen>? AvailableNitrogen = null,
    NutrientRate<P2O5>? P2O5 = null,
    NutrientRate<K2O>? K2O = null
);

/// <summary>
/// The present analysis of a manure, elemental. Null means not known. The available share (0 to 1) is the part of total
/// nitrogen that counts in the year of spreading, by the farm's chosen set.
/// </summary>
public sealed record PresentAnalysis(
    Concentration<Nitrogen>? TotalNitrogen = null,
    double? AvailableNitrogenShare = null,
    Concentration<Phosphorus>? Phosphorus = null,
    Concentration<Potassium>? Potassium = null
);
