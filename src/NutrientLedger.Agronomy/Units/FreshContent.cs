using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Agronomy.Units;

/// <summary>
/// A mass of one nutrient per mass of material as it is, water included, kg/kg: the wet basis, "as is".
/// </summary>
public readonly record struct FreshContent<T>(double KilogramsPerKilogram) : INutrientAmount<FreshContent<T>, T>
    where T : INutrient
{
    public double Percent => KilogramsPerKilogram * Definitions.Percent;

    public double PartsPerMillion => KilogramsPerKilogram * Definitions.PartsPerMillion;

    public double KilogramsPerTonne => KilogramsPerKilogram * Definitions.KilogramsPerTonne;

    public double PoundsPerShortTon => KilogramsPerKilogram * Definitions.PoundsPerShortTon;

    double INutrientAmount<FreshContent<T>, T>.Amount => KilogramsPerKilogram;

    public static FreshContent<T> FromPercent(double percent) => new(percent / Definitions.Percent);

    public static FreshContent<T> FromPartsPerMillion(double parts) => new(parts / Definitions.PartsPerMillion);

    public static FreshContent<T> FromKilogramsPerTonne(double kilograms) =>
        new(kilograms / Definitions.KilogramsPerTonne);

    public static FreshContent<T> FromPoundsPerShortTon(double pounds) => new(pounds / Definitions.PoundsPerShortTon);

    /// <summary>The same nutrient in its other chemical form.</summary>
    public FreshContent<TOther> As<TOther>()
        where TOther : IFormOf<T> => new(KilogramsPerKilogram * TOther.PerUnitOfOther);

    /// <summary>The same content on the dry basis.</summary>
    public DryContent<T> OnDryBasis(DryMatter dryMatter) => new(KilogramsPerKilogram / dryMatter.Fraction);

    public static FreshContent<T> operator +(FreshContent<T> left, FreshContent<T> right) =>
        new(left.KilogramsPerKilogram + right.KilogramsPerKilogram);

    public static FreshContent<T> operator -(FreshContent<T> left, FreshContent<T> right) =>
        new(left.KilogramsPerKilogram - right.KilogramsPerKilogram);

    public static FreshContent<T> operator *(FreshContent<T> content, double share) =>
        new(content.KilogramsPerKilogram * share);

    public static Mass<T> operator *(FreshContent<T> content, FreshMass mass) =>
        new(content.KilogramsPerKilogram * mass.Kilograms);

    public static NutrientRate<T> operator *(FreshContent<T> content, FreshMassRate rate) =>
        new(content.KilogramsPerKilogram * rate.KilogramsPerHectare);

    public static Concentration<T> operator *(FreshContent<T> content, Density density) =>
        new(content.KilogramsPerKilogram * density.KilogramsPerCubicMetre);
}
