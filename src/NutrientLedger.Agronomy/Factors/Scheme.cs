namespace NutrientLedger.Agronomy.Factors;

/// <summary>How the coefficients of a set are used.</summary>
public enum Scheme
{
    /// <summary>
    /// Ammonium nitrogen times its retained share, plus organic nitrogen times the share that mineralises in the year.
    /// </summary>
    AmmoniumAndOrganic = 1,

    /// <summary>Total nitrogen times one factor for the year.</summary>
    TotalNitrogen = 2,

    /// <summary>Nutrients removed from the field per unit of yield.</summary>
    CropRemoval = 3,
}
