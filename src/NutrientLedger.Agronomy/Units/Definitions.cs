namespace NutrientLedger.Agronomy.Units;

/// <summary>
/// The exact SI values of the customary units. Every other conversion factor is derived from these. Feet and pounds are
/// the international ones of 1959. The survey foot differs by two parts in a million.
/// </summary>
public static class Definitions
{
    /// <summary>The international avoirdupois pound.</summary>
    public const double KilogramsPerPound = 0.45359237;

    /// <summary>The international foot. An inch is a twelfth of it; a mile is 5280 feet.</summary>
    public const double MetresPerFoot = 0.3048;

    /// <summary>The short ton of 2000 lb, the "ton" of manure reports in the United States.</summary>
    public const double PoundsPerShortTon = 2000;

    public const double KilogramsPerShortTon = PoundsPerShortTon * KilogramsPerPound;

    public const double KilogramsPerTonne = 1000;

    public const double SquareMetresPerHectare = 10_000;

    /// <summary>An acre is 43,560 square feet.</summary>
    public const double SquareMetresPerAcre = 43_560 * MetresPerFoot * MetresPerFoot;

    public const double HectaresPerAcre = SquareMetresPerAcre / SquareMetresPerHectare;

    public const double CubicMetresPerCubicFoot = MetresPerFoot * MetresPerFoot * MetresPerFoot;

    /// <summary>The US gallon of 231 cubic inches. A cubic foot has 1728 cubic inches.</summary>
    public const double CubicMetresPerUsGallon = 231 * CubicMetresPerCubicFoot / 1728;

    /// <summary>
    /// The Imperial gallon, a fifth larger. "Gal" means this one in guides of Ontario, Saskatchewan, the United Kingdom
    /// and Ireland.
    /// </summary>
    public const double CubicMetresPerImperialGallon = 0.00454609;

    public const double LitresPerCubicMetre = 1000;

    public const double PartsPerMillion = 1e6;

    public const double Percent = 100;
}
