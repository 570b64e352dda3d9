using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Agronomy.Units;

/// <summary>
/// A mass of one nutrient per mass of dry matter, kg/kg: the dry basis. Conversions need the dry matter.
/// </summary>
public readonly record struct DryContent<T>(double KilogramsPerKilogram)
    where T : INutrient
{
    public double Percent => KilogramsPerKilogram * Definitions.Percent;

    public double PartsPerMillion => KilogramsPerKilogram * Definitions.PartsPerMillion;

    public double PoundsPerShortTon => KilogramsPerKilogram * Definitions.PoundsPerShortTon;

    public static DryContent<T> FromPercent(double percent) => new(percent / Definitions.Percent);

    public static DryContent<T> FromPartsPerMillion(double parts) => new(parts / Definitions.PartsPerMillion);

    public static DryContent<T> FromPoundsPerShortTon(double pounds) => new(pounds / Definitions.PoundsPerShortTon);

    /// <summary>The same nutrient in its other chemical form.</summary>
    public DryContent<TOther> As<TOther>()
        where TOther : IFormOf<T> => new(KilogramsPerKilogram * TOther.PerUnitOfOther);

    /// <summary>The same content of the material as it is, water included.</summary>
    public FreshContent<T> AsIs(DryMatter dryMatter) => new(KilogramsPerKilogram * dryMatter.Fraction);
}
