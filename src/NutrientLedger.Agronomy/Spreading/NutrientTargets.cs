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

/// <summary>What a plan allows from manure per hectare; what it does not limit is left out.</summary>
public sealed record NutrientTargets(
    NutrientRate<Nitrogen>? TotalNitrogen = null,
    NutrientRate<Nitrogen>? AvailableNitrogen = null,
    NutrientRate<P2O5>? P2O5 = null,
    NutrientRate<K2O>? K2O = null
);

/// <summary>
/// What a manure holds at present, elemental; what is not known is left out. The available share is the part of total
/// nitrogen (0 to 1) that counts in the year of spreading, by the availability set that the farm chose.
/// </summary>
public sealed record PresentAnalysis(
    Concentration<Nitrogen>? TotalNitrogen = null,
    double? AvailableNitrogenShare = null,
    Concentration<Phosphorus>? Phosphorus = null,
    Concentration<Potassium>? Potassium = null
);
