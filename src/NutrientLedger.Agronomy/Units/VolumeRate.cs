namespace NutrientLedger.Agronomy.Units;

/// <summary>A volume of liquid per area, m³/ha.</summary>
public readonly record struct VolumeRate(double CubicMetresPerHectare)
{
    private const double CubicMetresPerHectareOfUsUnit =
        Definitions.CubicMetresPerUsGallon / Definitions.HectaresPerAcre;

    private const double CubicMetresPerHectareOfImperialUnit =
        Definitions.CubicMetresPerImperialGallon / Definitions.HectaresPerAcre;

    public double LitresPerHectare => CubicMetresPerHectare * Definitions.LitresPerCubicMetre;

    public double UsGallonsPerAcre => CubicMetresPerHectare / CubicMetresPerHectareOfUsUnit;

    public double ImperialGallonsPerAcre => CubicMetresPerHectare / CubicMetresPerHectareOfImperialUnit;

    public static VolumeRate FromLitresPerHectare(double litres) => new(litres / Definitions.LitresPerCubicMetre);

    public static VolumeRate FromUsGallonsPerAcre(double gallons) => new(gallons * CubicMetresPerHectareOfUsUnit);

    public static VolumeRate FromImperialGallonsPerAcre(double gallons) =>
        new(gallons * CubicMetresPerHectareOfImperialUnit);

    public static Volume operator *(VolumeRate rate, Area area) => new(rate.CubicMetresPerHectare * area.Hectares);
}
