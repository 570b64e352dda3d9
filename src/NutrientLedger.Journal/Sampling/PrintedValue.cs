namespace NutrientLedger.Journal.Sampling;

/// <summary>What a line of a laboratory report measures, in the chemical form printed there.</summary>
public enum PrintedAs
{
    DryMatter = 1,
    Moisture = 2,
    TotalNitrogen = 3,

    /// <summary>Ammonium nitrogen as N.</summary>
    AmmoniumNitrogen = 4,

    /// <summary>Ammonium as NH4, of which nitrogen is a part.</summary>
    Ammonium = 5,
    Phosphorus = 6,
    P2O5 = 7,
    Potassium = 8,
    K2O = 9,
}

/// <summary>The unit in which a laboratory prints a content.</summary>
public enum PrintedUnit
{
    KilogramsPerCubicMetre = 1,
    GramsPerLitre = 2,
    MilligramsPerLitre = 3,
    PoundsPer1000UsGallons = 4,
    PoundsPer1000ImperialGallons = 5,
    KilogramsPerTonne = 6,
    PoundsPerShortTon = 7,
    Percent = 8,
    PartsPerMillion = 9,
}

/// <summary>The material that a content is a share of: the fresh material, or its dry matter alone.</summary>
public enum PrintedBasis
{
    AsIs = 1,
    DryMatter = 2,
}

/// <summary>One line of a laboratory report exactly as printed, digits included.</summary>
public sealed record PrintedValue(
    PrintedAs What,
    decimal Value,
    PrintedUnit Unit,
    PrintedBasis Basis = PrintedBasis.AsIs
);

/// <summary>The unit in which a laboratory prints a density.</summary>
public enum PrintedDensityUnit
{
    KilogramsPerCubicMetre = 1,
    KilogramsPerLitre = 2,
    PoundsPerUsGallon = 3,
    PoundsPerCubicFoot = 4,
}

/// <summary>The density of a sample exactly as printed.</summary>
public sealed record PrintedDensity(decimal Value, PrintedDensityUnit Unit);
