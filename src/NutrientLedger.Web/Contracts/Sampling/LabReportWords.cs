using NutrientLedger.Journal.Sampling;

namespace NutrientLedger.Web.Contracts.Sampling;

/// <summary>The words of laboratory reports in files, requests and responses.</summary>
internal static class LabReportWords
{
    public static readonly (string Word, PrintedAs Meaning)[] What =
    [
        ("dryMatter", PrintedAs.DryMatter),
        ("moisture", PrintedAs.Moisture),
        ("totalNitrogen", PrintedAs.TotalNitrogen),
        ("ammoniumNitrogen", PrintedAs.AmmoniumNitrogen),
        ("ammonium", PrintedAs.Ammonium),
        ("phosphorus", PrintedAs.Phosphorus),
        ("p2o5", PrintedAs.P2O5),
        ("potassium", PrintedAs.Potassium),
        ("k2o", PrintedAs.K2O),
    ];

    public static readonly (string Word, PrintedUnit Meaning)[] Units =
    [
        ("kg/m3", PrintedUnit.KilogramsPerCubicMetre),
        ("g/L", PrintedUnit.GramsPerLitre),
        ("mg/L", PrintedUnit.MilligramsPerLitre),
        ("lb/1000 US gal", PrintedUnit.PoundsPer1000UsGallons),
        ("lb/1000 imperial gal", PrintedUnit.PoundsPer1000ImperialGallons),
        ("kg/t", PrintedUnit.KilogramsPerTonne),
        ("lb/ton", PrintedUnit.PoundsPerShortTon),
        ("%", PrintedUnit.Percent),
        ("ppm", PrintedUnit.PartsPerMillion),
    ];

    public static readonly (string Word, PrintedDensityUnit Meaning)[] DensityUnits =
    [
        ("kg/m3", PrintedDensityUnit.KilogramsPerCubicMetre),
        ("kg/L", PrintedDensityUnit.KilogramsPerLitre),
        ("lb/US gal", PrintedDensityUnit.PoundsPerUsGallon),
        ("lb/ft3", PrintedDensityUnit.PoundsPerCubicFoot),
    ];

    public static readonly (string Word, PrintedBasis Meaning)[] Bases =
    [
        ("asIs", PrintedBasis.AsIs),
        ("dryMatter", PrintedBasis.DryMatter),
    ];

    public static string Of<TMeaning>((string Word, TMeaning Meaning)[] words, TMeaning meaning)
        where TMeaning : struct => words.First(word => word.Meaning.Equals(meaning)).Word;
}
