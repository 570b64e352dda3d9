using NutrientLedger.Agronomy.Units;
using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Agronomy.Value;

/// <summary>A granular fertilizer by its label: its shares of N, P2O5 and K2O.</summary>
public sealed record Fertilizer(
    string Name,
    FreshContent<Nitrogen> Nitrogen,
    FreshContent<P2O5> P2O5,
    FreshContent<K2O> K2O
)
{
    /// <summary>From the three numbers on the bag, in percent.</summary>
    public static Fertilizer FromGrade(string name, double nitrogen, double p2O5, double k2O) =>
        new(
            name,
            FreshContent<Nitrogen>.FromPercent(nitrogen),
            FreshContent<P2O5>.FromPercent(p2O5),
            FreshContent<K2O>.FromPercent(k2O)
        );
}

/// <summary>
/// The three fertilizers that a farm would otherwise buy: one for phosphate, one for potash, and one for the remaining
/// nitrogen.
/// </summary>
public sealed record FertilizerProgramme(Fertilizer ForNitrogen, Fertilizer ForP2O5, Fertilizer ForK2O)
{
    /// <summary>
    /// Fertilizer for a need: phosphate first, then potash, then nitrogen. The first two may bring nitrogen that need
    /// not be bought again.
    /// </summary>
    public FertilizerAmounts For(NutrientMasses need)
    {
        var phosphate = Wanted(need.P2O5.Kilograms, ForP2O5.P2O5.KilogramsPerKilogram);
        var potash = Wanted(need.K2O.Kilograms - (ForP2O5.K2O * phosphate).Kilograms, ForK2O.K2O.KilogramsPerKilogram);
        var brought = ForP2O5.Nitrogen * phosphate + ForK2O.Nitrogen * potash;
        var nitrogen = Wanted(need.Nitrogen.Kilograms - brought.Kilograms, ForNitrogen.Nitrogen.KilogramsPerKilogram);
        return new(nitrogen, phosphate, potash);
    }

    /// <summary>
    /// Fertilizer that can be left out because manure meets part of the need. The nitrogen fertilizer can come out
    /// negative: with less phosphate fertilizer that carries nitrogen, more nitrogen must be bought.
    /// </summary>
    public FertilizerAmounts LeftOut(NutrientMasses need, NutrientMasses fromManure)
    {
        var credited = fromManure.AtMost(need);
        var (without, with) = (
            For(need),
            For(new(need.Nitrogen - credited.Nitrogen, need.P2O5 - credited.P2O5, need.K2O - credited.K2O))
        );
        return new(
            Less(without.ForNitrogen, with.ForNitrogen),
            Less(without.ForP2O5, with.ForP2O5),
            Less(without.ForK2O, with.ForK2O)
        );
    }

    private static FreshMass Wanted(double kilograms, double content)
    {
        if (kilograms <= 0)
            return new(0);
        return content > 0
            ? new(kilograms / content)
            : throw new ArgumentException("A fertilizer for a nutrient must contain some of it; check its grade.");
    }

    private static FreshMass Less(FreshMass more, FreshMass less) => new(more.Kilograms - less.Kilograms);
}

/// <summary>Amounts of the three fertilizers of a programme.</summary>
public sealed record FertilizerAmounts(FreshMass ForNitrogen, FreshMass ForP2O5, FreshMass ForK2O);
