namespace NutrientLedger.Agronomy.Units.Chemistry;

/// <summary>
/// A substance that an amount is measured of. Each is its own type, so elemental and oxide forms can never be added.
/// </summary>
public interface INutrient
{
    /// <summary>The symbol that the trade uses.</summary>
    static abstract string Symbol { get; }
}

/// <summary>The same nutrient in another chemical form, such as phosphorus and P2O5.</summary>
public interface IFormOf<TOther> : INutrient
    where TOther : INutrient
{
    /// <summary>Mass of this form that has as much of the element as one unit mass of the other form.</summary>
    static abstract double PerUnitOfOther { get; }
}

/// <summary>Nitrogen, N.</summary>
public readonly record struct Nitrogen : IFormOf<Ammonium>
{
    // Abridged standard atomic weights of IUPAC (Pure Appl. Chem. 88, 265, doi 10.1515/pac-2015-0305; both values from
    // memory).
    private const double OfNitrogen = 14.007;
    private const double OfHydrogen = 1.008;

    public static string Symbol => "N";

    public static double PerUnitOfOther => OfNitrogen / (OfNitrogen + 4 * OfHydrogen);
}

/// <summary>Ammonium as NH4, as some laboratories print it. Most print the nitrogen in it.</summary>
public readonly record struct Ammonium : INutrient
{
    public static string Symbol => "NH4";
}

/// <summary>Elemental phosphorus, P.</summary>
public readonly record struct Phosphorus : IFormOf<P2O5>
{
    public static string Symbol => "P";

    public static double PerUnitOfOther => 1 / Oxides.P2O5PerPhosphorus;
}

/// <summary>Phosphorus as its oxide, P2O5, as in plans and on fertilizer labels.</summary>
public readonly record struct P2O5 : IFormOf<Phosphorus>
{
    public static string Symbol => "P2O5";

    public static double PerUnitOfOther => Oxides.P2O5PerPhosphorus;
}

/// <summary>Elemental potassium, K.</summary>
public readonly record struct Potassium : IFormOf<K2O>
{
    public static string Symbol => "K";

    public static double PerUnitOfOther => 1 / Oxides.K2OPerPotassium;
}

/// <summary>Potassium as its oxide, K2O, as in plans and on fertilizer labels.</summary>
public readonly record struct K2O : IFormOf<Potassium>
{
    public static string Symbol => "K2O";

    public static double PerUnitOfOther => Oxides.K2OPerPotassium;
}

/// <summary>Crude protein of a crop: nitrogen times a coefficient of a factor set.</summary>
public readonly record struct CrudeProtein : INutrient
{
    public static string Symbol => "crude protein";
}

/// <summary>
/// All that is left of manure without its water. It is not a nutrient, but is printed and converted like one.
/// </summary>
public readonly record struct DrySolids : INutrient
{
    public static string Symbol => "dry matter";
}
