using NutrientLedger.Agronomy.Units;
using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Agronomy.Value;

/// <summary>Prices of the three nutrients that manure is paid for.</summary>
public sealed record PriceList(NutrientPrice<Nitrogen> Nitrogen, NutrientPrice<P2O5> P2O5, NutrientPrice<K2O> K2O);

/// <summary>Amounts of the three nutrients on some ground or in some manure.</summary>
public sealed record NutrientMasses(Mass<Nitrogen> Nitrogen, Mass<P2O5> P2O5, Mass<K2O> K2O)
{
    /// <summary>What a volume of manure with these concentrations holds.</summary>
    public static NutrientMasses In(
        Volume volume,
        Concentration<Nitrogen> nitrogen,
        Concentration<P2O5> p2O5,
        Concentration<K2O> k2O
    ) => new(nitrogen * volume, p2O5 * volume, k2O * volume);

    /// <summary>What an area gets at these rates.</summary>
    public static NutrientMasses On(
        Area area,
        NutrientRate<Nitrogen> nitrogen,
        NutrientRate<P2O5> p2O5,
        NutrientRate<K2O> k2O
    ) => new(nitrogen * area, p2O5 * area, k2O * area);

    /// <summary>Of each nutrient no more than is needed: what goes beyond has no value to the crop.</summary>
    public NutrientMasses AtMost(NutrientMasses need) =>
        new(
            new(Math.Min(Nitrogen.Kilograms, need.Nitrogen.Kilograms)),
            new(Math.Min(P2O5.Kilograms, need.P2O5.Kilograms)),
            new(Math.Min(K2O.Kilograms, need.K2O.Kilograms))
        );
}

/// <summary>What nutrients are worth, money in all and by nutrient; nothing is rounded.</summary>
public sealed record ManureValue(double Nitrogen, double P2O5, double K2O)
{
    public double Total => Nitrogen + P2O5 + K2O;

    public static ManureValue Of(NutrientMasses credited, PriceList prices) =>
        new(prices.Nitrogen * credited.Nitrogen, prices.P2O5 * credited.P2O5, prices.K2O * credited.K2O);

    /// <summary>The value of a field's manure spread evenly over its acres.</summary>
    public double PerAcre(Area area) => Total / area.Acres;

    public double PerHectare(Area area) => Total / area.Hectares;

    /// <summary>The value of each 1000 gallons (United States) of the volume spread.</summary>
    public double PerThousandUsGallons(Volume volume) => Total * 1000 / volume.UsGallons;
}
