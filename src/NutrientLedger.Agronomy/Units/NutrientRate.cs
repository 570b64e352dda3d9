using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Agronomy.Units;

/// <summary>A mass of one nutrient per area, kg/ha.</summary>
public readonly record struct NutrientRate<T>(double KilogramsPerHectare) : INutrientAmount<NutrientRate<T>, T>
    where T : INutrient
{
    public double PoundsPerAcre => KilogramsPerHectare * Definitions.HectaresPerAcre / Definitions.KilogramsPerPound;

    double INutrientAmount<NutrientRate<T>, T>.Amount => KilogramsPerHectare;

    public static NutrientRate<T> FromPoundsPerAcre(double poundsPerAcre) =>
        new(poundsPerAcre * Definitions.KilogramsPerPound / Definitions.HectaresPerAcre);

    /// <summary>The same nutrient in its other chemical form.</summary>
    public NutrientRate<TOther> As<TOther>()
        where TOther : IFormOf<T> => new(KilogramsPerHectare * TOther.PerUnitOfOther);

    public static NutrientRate<T> operator +(NutrientRate<T> left, NutrientRate<T> right) =>
        new(left.KilogramsPerHectare + right.KilogramsPerHectare);

    public static NutrientRate<T> operator -(NutrientRate<T> left, NutrientRate<T> right) =>
        new(left.KilogramsPerHectare - right.KilogramsPerHectare);

    public static NutrientRate<T> operator *(NutrientRate<T> rate, double share) =>
        new(rate.KilogramsPerHectare * share);

    public static Mass<T> operator *(NutrientRate<T> rate, Area area) => new(rate.KilogramsPerHectare * area.Hectares);

    /// <summary>The volume of liquid per area that gives this rate.</summary>
    public static VolumeRate operator /(NutrientRate<T> rate, Concentration<T> concentration) =>
        new(rate.KilogramsPerHectare / concentration.KilogramsPerCubicMetre);

    /// <summary>The mass of solid manure per area that gives this rate.</summary>
    public static FreshMassRate operator /(NutrientRate<T> rate, FreshContent<T> content) =>
        new(rate.KilogramsPerHectare / content.KilogramsPerKilogram);
}
