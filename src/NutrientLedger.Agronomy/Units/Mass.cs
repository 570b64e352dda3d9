using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Agronomy.Units;

/// <summary>A mass of one nutrient, kg.</summary>
public readonly record struct Mass<T>(double Kilograms) : INutrientAmount<Mass<T>, T>
    where T : INutrient
{
    public double Pounds => Kilograms / Definitions.KilogramsPerPound;

    double INutrientAmount<Mass<T>, T>.Amount => Kilograms;

    public static Mass<T> FromPounds(double pounds) => new(pounds * Definitions.KilogramsPerPound);

    /// <summary>The same nutrient in its other chemical form.</summary>
    public Mass<TOther> As<TOther>()
        where TOther : IFormOf<T> => new(Kilograms * TOther.PerUnitOfOther);

    public static Mass<T> operator +(Mass<T> left, Mass<T> right) => new(left.Kilograms + right.Kilograms);

    public static Mass<T> operator -(Mass<T> left, Mass<T> right) => new(left.Kilograms - right.Kilograms);

    public static Mass<T> operator *(Mass<T> mass, double share) => new(mass.Kilograms * share);

    public static NutrientRate<T> operator /(Mass<T> mass, Area area) => new(mass.Kilograms / area.Hectares);
}
