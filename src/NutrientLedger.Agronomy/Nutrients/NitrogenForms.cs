using NutrientLedger.Agronomy.Units;
using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Agronomy.Nutrients;

/// <summary>
/// The nitrogen of a manure by form. Organic nitrogen is the total less ammonium and nitrate. Where the analysis gives
/// more ammonium and nitrate than total, organic nitrogen is 0 and the analysis is flagged.
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

    /// <summary>Total nitrogen as analysed.</summary>
    public T Total { get; }

    /// <summary>
    /// Whether the analysis reports more ammonium and nitrate than total nitrogen, which is impossible.
    /// </summary>
    public bool MineralAboveTotal { get; }

    /// <summary>Nitrogen applied, as the sum of the forms. It is never less than any of them.</summary>
    public T Applied => Organic + Ammonium + Nitrate;
}

/// <summary>Makes nitrogen forms from the ways in which laboratories report them.</summary>
public static class NitrogenAnalysis
{
    /// <summary>From a Kjeldahl analysis, whose total does not include nitrate.</summary>
    public static NitrogenForms<T> OfKjeldahl<T>(T kjeldahl, T ammonium, T nitrate)
        where T : struct, INutrientAmount<T, Nitrogen> =>
        new(kjeldahl - ammonium, ammonium, nitrate, kjeldahl + nitrate);

    /// <summary>From an analysis whose total includes all nitrogen, nitrate too.</summary>
    public static NitrogenForms<T> OfTotal<T>(T total, T ammonium, T nitrate)
        where T : struct, INutrientAmount<T, Nitrogen> => new(total - ammonium - nitrate, ammonium, nitrate, total);

    /// <summary>
    /// From a total and its ammonium, as most manure analyses give. Liquid manure has next to no nitrate.
    /// </summary>
    public static NitrogenForms<T> OfTotal<T>(T total, T ammonium)
        where T : struct, INutrientAmount<T, Nitrogen> => OfTotal(total, ammonium, total * 0);
}
