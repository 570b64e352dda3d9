namespace NutrientLedger.Journal.Sampling;

/// <summary>What a composition sensor reports and a laboratory can check.</summary>
public enum Analyte
{
    /// <summary>Dry share of the fresh mass. A sensor reports it in parts per million.</summary>
    DryMatter = 1,

    /// <summary>Total nitrogen, N.</summary>
    TotalNitrogen = 2,

    /// <summary>Ammonium nitrogen, as N.</summary>
    AmmoniumNitrogen = 3,

    /// <summary>Elemental phosphorus, P.</summary>
    Phosphorus = 4,

    /// <summary>Elemental potassium, K.</summary>
    Potassium = 5,
}
