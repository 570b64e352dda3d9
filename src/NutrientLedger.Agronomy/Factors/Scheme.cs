namespace NutrientLedger.Agronomy.Factors;

/// <summary>How the figures of a set are put to use.</summary>
public enum Scheme
{
    /// <summary>Ammonium nitrogen times what is retained of it, plus organic nitrogen times what mineralises in the year.</summary>
    AmmoniumAndOrganic = 1,

    /// <summary>Total nitrogen times one factor for the year.</summary>
    TotalNitrogen = 2,

    /// <summary>What a crop takes off the field per unit of yield.</summary>
    CropRemoval = 3,
}
