using NutrientLedger.Agronomy.Units;
using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Agronomy.Nutrients;

/// <summary>
/// The nitrogen of a manure by form. Organic nitrogen is what the total holds beyond ammonium and nitrate; where the analysis says
/// there is more of these than of all, organic nitrogen counts as none and the analysis is flagged.
/// </summary>
public sealed record NitrogenForms<T>
    where T : struct, INutrientAmount<T, Nitrogen>
{
    internal NitrogenForms(T organic, T ammonium, T nitrate, T total)
    {
        (Ammonium, Nitrate, Total) = (ammonium, nitrate, total);
        MineralAboveTotal = organic.Amount < 0;
        Organic = MineralAboveTotal ? organic * 0 : organic;
    }

    public T Organic { get; }

    public T Ammonium { get; }

    public T Nitrate { get; }

    /// <summary>All nitrogen as analysed.</summary>
    public T Total { get; }

    /// <summary>The analysis reports more ammonium and nitrate than nitrogen in all, which cannot be.</summary>
    public bool MineralAboveTotal { get; }

    /// <summary>All that was put on, by the forms: never less than any of them.</summary>
    public T Applied => Organic + Ammonium + Nitrate;
}

/// <summary>Makes the forms of nitrogen from the ways in which a laboratory reports them.</summary>
public static class NitrogenAnalysis
{
    /// <summary>From an analysis by Kjeldahl's method, whose total holds no nitrate.</summary>
    public static NitrogenForms<T> OfKjeldahl<T>(T kjeldahl, T ammonium, T nitrate)
        where T : struct, INutrientAmount<T, Nitrogen> =>
        new(kjeldahl - ammonium, ammonium, nitrate, kjeldahl + nitrate);

    /// <summary>From an analysis whose total holds all nitrogen, nitrate included.</summary>
    public static NitrogenForms<T> OfTotal<T>(T total, T ammonium, T nitrate)
        where T : struct, INutrientAmount<T, Nitrogen> => new(total - ammonium - nitrate, ammonium, nitrate, total);

    /// <summary>From a total and its ammonium, as manure analyses mostly come: there is next to no nitrate in liquid manure.</summary>
    public static NitrogenForms<T> OfTotal<T>(T total, T ammonium)
        where T : struct, INutrientAmount<T, Nitrogen> => OfTotal(total, ammonium, total * 0);
}
