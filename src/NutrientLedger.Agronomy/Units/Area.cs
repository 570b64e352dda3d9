namespace NutrientLedger.Agronomy.Units;

/// <summary>An area, m².</summary>
public readonly record struct Area(double SquareMetres)
{
    public double Hectares => SquareMetres / Definitions.SquareMetresPerHectare;

    public double Acres => SquareMetres / Definitions.SquareMetresPerAcre;

    public static Area FromHectares(double hectares) => new(hectares * Definitions.SquareMetresPerHectare);

    public static Area FromAcres(double acres) => new(acres * Definitions.SquareMetresPerAcre);

    public static Area operator +(Area left, Area right) => new(left.SquareMetres + right.SquareMetres);
}
