namespace NutrientLedger.Agronomy.Units;

/// <summary>A mass of manure or harvested crop as it is, water included, kg.</summary>
public readonly record struct FreshMass(double Kilograms)
{
    public double Tonnes => Kilograms / Definitions.KilogramsPerTonne;

    public double Pounds => Kilograms / Definitions.KilogramsPerPound;

    public double ShortTons => Kilograms / Definitions.KilogramsPerShortTon;

    public static FreshMass FromTonnes(double tonnes) => new(tonnes * Definitions.KilogramsPerTonne);

    public static FreshMass FromPounds(double pounds) => new(pounds * Definitions.KilogramsPerPound);

    public static FreshMass FromShortTons(double tons) => new(tons * Definitions.KilogramsPerShortTon);

    public static FreshMass operator +(FreshMass left, FreshMass right) => new(left.Kilograms + right.Kilograms);

    public static FreshMass operator *(FreshMass mass, double times) => new(mass.Kilograms * times);

    public static Density operator /(FreshMass mass, Volume volume) => new(mass.Kilograms / volume.CubicMetres);

    public static FreshMassRate operator /(FreshMass mass, Area area) => new(mass.Kilograms / area.Hectares);
}
