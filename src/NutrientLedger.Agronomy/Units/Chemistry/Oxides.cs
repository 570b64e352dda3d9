namespace NutrientLedger.Agronomy.Units.Chemistry;

/// <summary>
/// Phosphorus and potassium as the oxides of plans and fertilizer labels. Factors as published by Virginia Cooperative
/// Extension, SPES-201NP, table 1 (see tests). The molar masses 141.945/(2 × 30.974) and 94.196/(2 × 39.098) give
/// 2.2914 and 1.2046, within 0.05 %.
/// </summary>
public static class Oxides
{
    /// <summary>Mass of P2O5 that has one unit mass of phosphorus.</summary>
    public const double P2O5PerPhosphorus = 2.2910;

    /// <summary>Mass of K2O that has one unit mass of potassium.</summary>
    public const double K2OPerPotassium = 1.2051;
}
