namespace NutrientLedger.Agronomy.Units;

/// <summary>A mass of solid manure or harvested crop per area, as it is, water included, kg/ha.</summary>
public readonly record struct FreshMassRate(double KilogramsPerHectare)
{
    public double TonnesPerHectare => KilogramsPerHectare / Definitions.KilogramsPerTonne;

    public double ShortTonsPerAcre =>
        KilogramsPerHectare * Definitions.HectaresPerAcre / Definitions.KilogramsPerShortTon;

    public static FreshMassRate FromTonnesPerHectare(double tonnes) => new(tonnes * Definitions.KilogramsPerTonne);

    public static FreshMassRate FromShortTonsPerAcre(double tons) =>
        new(tons * Definitions.KilogramsPerShortTon / Definitions.HectaresPerAcre);

    public static FreshMass operator *(FreshMassRate rate, Area area) => new(rate.KilogramsPerHectare * area.Hectares);
}
