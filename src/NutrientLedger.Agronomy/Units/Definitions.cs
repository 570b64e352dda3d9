namespace NutrientLedger.Agronomy.Units;

/// <summary>
/// What the customary units are, exactly, in SI units; every other factor of conversion is derived from these. Feet and pounds
/// are the international ones of 1959, not the survey foot, which differs by two parts in a million.
/// </summary>
public static class Definitions
{
    /// <summary>The international avoirdupois pound.</summary>
    public const double KilogramsPerPound = 0.45359237;

    /// <summary>The international foot; an inch is a twelfth of it, a mile 5280 of it.</summary>
    public const double MetresPerFoot = 0.3048;

    /// <summary>The short ton of 2000 lb, which is what "ton" means on the manure reports of the United States.</summary>
    public const double PoundsPerShortTon = 2000;

    public const double KilogramsPerShortTon = PoundsPerShortTon * KilogramsPerPound;

    public const double KilogramsPerTonne = 1000;

    public const double SquareMetresPerHectare = 10_000;

    /// <summary>An acre is 43,560 square feet.</summary>
    public const double SquareMetresPerAcre = 43_560 * MetresPerFoot * MetresPerFoot;

    public const double HectaresPerAcre = SquareMetresPerAcre / SquareMetresPerHectare;

    public const double CubicMetresPerCubicFoot = MetresPerFoot * MetresPerFoot * MetresPerFoot;

    /// <summary>The gallon of the United States is 231 cubic inches; a cubic foot holds 1728 of those.</summary>
    public const double CubicMetresPerUsGallon = 231 * CubicMetresPerCubicFoot / 1728;

    /// <summary>
    /// The Imperial gallon, a fifth larger. Guides of Ontario, Saskatchewan, the United Kingdom and Ireland mean this one when
    /// they print "gal".
    /// </summary>
    public const double CubicMetresPerImperialGallon = 0.00454609;

    public const double LitresPerCubicMetre = 1000;

    public const double PartsPerMillion = 1e6;

    public const double Percent = 100;
}
