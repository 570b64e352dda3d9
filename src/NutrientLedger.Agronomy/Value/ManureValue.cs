using NutrientLedger.Agronomy.Units;
using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Agronomy.Value;

/// <summary>Prices of the three nutrients that manure is valued by.</summary>
public sealed record PriceList(NutrientPrice<Nitrogen> Nitrogen, NutrientPrice<P2O5> P2O5, NutrientPrice<K2O> K2O);

/// <summary>Amounts of the three nutrients on an area or in manure.</summary>
public sealed record NutrientMasses(Mass<Nitrogen> Nitrogen, Mass<P2O5> P2O5, Mass<K2O> K2O)
{
    /// <summary>The nutrients in a volume of manure with these concentrations.</summary>
    public static NutrientMasses In(
        Volume volume,
        Concentration<Nitrogen> nitrogen,
        Concentration<P2O5> p2O5,
        Concentration<K2O> k2O
    ) => new(nitrogen * volume, p2O5 * volume, k2O * volume);

    /// <summary>The nutrients on an area at these rates.</summary>
    public static NutrientMasses On(
        Area area,
        NutrientRate<Nitrogen> nitrogen,
        NutrientRate<P2O5> p2O5,
        NutrientRate<K2O> k2O
    ) => new(nitrogen * area, p2O5 * area, k2O * area);

    /// <summary>Each nutrient limited to the need. What goes beyond has no value to the crop.</summary>
    public NutrientMasses AtMost(NutrientMasses need) =>
        new(
            new(Math.Min(Nitrogen.Kilograms, need.Nitrogen.Kilograms)),
            new(Math.Min(P2O5.Kilograms, need.P2O5.Kilograms)),
            new(Math.Min(K2O.Kilograms, need.K2O.Kilograms))
        );
}

/// <summary>The value of nutrients in money, in total and by nutrient. Nothing is rounded.</summary>
public sealed record ManureValue(double Nitrogen, double P2O5, double K2O)
{
    public double Total => Nitrogen + P2O5 + K2O;

    public static ManureValue Of(NutrientMasses credited, PriceList prices) =>
        new(prices.Nitrogen * credited.Nitrogen, prices.P2O5 * credited.P2O5, prices.K2O * credited.K2O);

    /// <summary>The value of a field's manure per acre of its area.</summary>
    public double PerAcre(Area area) => Total / area.Acres;

    public double PerHectare(Area area) => Total / area.Hectares;

    /// <summary>The value per 1000 US gallons of the volume spread.</summary>
    public double PerThousandUsGallons(Volume volume) => Total * 1000 / volume.UsGallons;
}
