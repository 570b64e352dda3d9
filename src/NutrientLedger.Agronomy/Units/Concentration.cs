using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Agronomy.Units;

/// <summary>
/// A mass of one nutrient per volume of liquid, kg/m³. The number is the same in g/L and in kg per 1000 L.
/// </summary>
public readonly record struct Concentration<T>(double KilogramsPerCubicMetre) : INutrientAmount<Concentration<T>, T>
    where T : INutrient
{
    private const double KilogramsPerCubicMetreOfUsUnit =
        Definitions.KilogramsPerPound / (1000 * Definitions.CubicMetresPerUsGallon);

    private const double KilogramsPerCubicMetreOfImperialUnit =
        Definitions.KilogramsPerPound / (1000 * Definitions.CubicMetresPerImperialGallon);

    public double GramsPerLitre => KilogramsPerCubicMetre;

    public double MilligramsPerLitre => KilogramsPerCubicMetre * 1000;

    public double PoundsPer1000UsGallons => KilogramsPerCubicMetre / KilogramsPerCubicMetreOfUsUnit;

    public double PoundsPer1000ImperialGallons => KilogramsPerCubicMetre / KilogramsPerCubicMetreOfImperialUnit;

    double INutrientAmount<Concentration<T>, T>.Amount => KilogramsPerCubicMetre;

    public static Concentration<T> FromMilligramsPerLitre(double milligrams) => new(milligrams / 1000);

    public static Concentration<T> FromPoundsPer1000UsGallons(double pounds) =>
        new(pounds * KilogramsPerCubicMetreOfUsUnit);

    public static Concentration<T> FromPoundsPer1000ImperialGallons(double pounds) =>
        new(pounds * KilogramsPerCubicMetreOfImperialUnit);

    /// <summary>The same nutrient in its other chemical form.</summary>
    public Concentration<TOther> As<TOther>()
        where TOther : IFormOf<T> => new(KilogramsPerCubicMetre * TOther.PerUnitOfOther);

    public static Concentration<T> operator +(Concentration<T> left, Concentration<T> right) =>
        new(left.KilogramsPerCubicMetre + right.KilogramsPerCubicMetre);

    public static Concentration<T> operator -(Concentration<T> left, Concentration<T> right) =>
        new(left.KilogramsPerCubicMetre - right.KilogramsPerCubicMetre);

    public static Concentration<T> operator *(Concentration<T> concentration, double share) =>
        new(concentration.KilogramsPerCubicMetre * share);

    public static Mass<T> operator *(Concentration<T> concentration, Volume volume) =>
        new(concentration.KilogramsPerCubicMetre * volume.CubicMetres);

    public static NutrientRate<T> operator *(Concentration<T> concentration, VolumeRate rate) =>
        new(concentration.KilogramsPerCubicMetre * rate.CubicMetresPerHectare);

    /// <summary>The content by mass of a liquid of that density.</summary>
    public static FreshContent<T> operator /(Concentration<T> concentration, Density density) =>
        new(concentration.KilogramsPerCubicMetre / density.KilogramsPerCubicMetre);
}
