namespace NutrientLedger.Agronomy.Units;

/// <summary>A volume, m³.</summary>
public readonly record struct Volume(double CubicMetres)
{
    public double Litres => CubicMetres * Definitions.LitresPerCubicMetre;

    public double CubicFeet => CubicMetres / Definitions.CubicMetresPerCubicFoot;

    public double UsGallons => CubicMetres / Definitions.CubicMetresPerUsGallon;

    public double ImperialGallons => CubicMetres / Definitions.CubicMetresPerImperialGallon;

    public static Volume FromLitres(double litres) => new(litres / Definitions.LitresPerCubicMetre);

    public static Volume FromCubicFeet(double cubicFeet) => new(cubicFeet * Definitions.CubicMetresPerCubicFoot);

    public static Volume FromUsGallons(double gallons) => new(gallons * Definitions.CubicMetresPerUsGallon);

    public static Volume FromImperialGallons(double gallons) => new(gallons * Definitions.CubicMetresPerImperialGallon);

    public static Volume operator +(Volume left, Volume right) => new(left.CubicMetres + right.CubicMetres);

    public static Volume operator -(Volume left, Volume right) => new(left.CubicMetres - right.CubicMetres);

    public static Volume operator *(Volume volume, double times) => new(volume.CubicMetres * times);

    public static VolumeRate operator /(Volume volume, Area area) => new(volume.CubicMetres / area.Hectares);

    public static FreshMass operator *(Volume volume, Density density) =>
        new(volume.CubicMetres * density.KilogramsPerCubicMetre);
}
