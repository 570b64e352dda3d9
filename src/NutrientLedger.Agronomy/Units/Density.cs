namespace NutrientLedger.Agronomy.Units;

/// <summary>Fresh mass per volume of manure, kg/m³. It comes from a weighed pail; no constant replaces it.</summary>
public readonly record struct Density(double KilogramsPerCubicMetre)
{
    public double PoundsPerUsGallon =>
        KilogramsPerCubicMetre * Definitions.CubicMetresPerUsGallon / Definitions.KilogramsPerPound;

    public double PoundsPerCubicFoot =>
        KilogramsPerCubicMetre * Definitions.CubicMetresPerCubicFoot / Definitions.KilogramsPerPound;

    public static Density FromPoundsPerUsGallon(double pounds) =>
        new(pounds * Definitions.KilogramsPerPound / Definitions.CubicMetresPerUsGallon);

    public static Density FromPoundsPerCubicFoot(double pounds) =>
        new(pounds * Definitions.KilogramsPerPound / Definitions.CubicMetresPerCubicFoot);
}
