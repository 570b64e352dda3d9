using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Agronomy.Factors.Conditions;
using NutrientLedger.Agronomy.Units;
using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Agronomy.Nutrients;

/// <summary>
/// Nitrogen that a crop can use, by the scheme of a factor set. Nothing is rounded on the way. With separate ammonium
/// and organic nitrogen, year 1 = ammonium × retained + nitrate + organic × year 1. Later, year k = organic × year k.
/// On total nitrogen, year k = total × year k. Where the set has it, this is multiplied by the share kept at spreading.
/// </summary>
public static class NitrogenAvailability
{
    /// <summary>Nitrogen from an application in one year. Year 1 is the year of application.</summary>
    public static TracedValue<AvailableNitrogen<T>> InYear<T>(
        int year,
        NitrogenForms<T> applied,
        Circumstances circumstances,
        FactorSet set
    )
        where T : struct, INutrientAmount<T, Nitrogen>
    {
        var provenance = new Provenance(set);
        return provenance.Trace(InYear(provenance, year, applied, circumstances));
    }

    /// <summary>Nitrogen that the applications of former seasons give this year.</summary>
    public static TracedValue<CarriedOver<T>> FromFormerSeasons<T>(
        IReadOnlyList<FormerApplication<T>> applications,
        FactorSet set
    )
        where T : struct, INutrientAmount<T, Nitrogen>
    {
        var provenance = new Provenance(set);
        var (sum, shares) = (default(T), new List<T>());
        foreach (var former in applications)
        {
            var share = InYear(provenance, former.SeasonsAgo + 1, former.Applied, former.Circumstances).Amount;
            shares.Add(share);
            sum += share;
        }
        return provenance.Trace(new CarriedOver<T>(sum, shares));
    }

    /// <summary>
    /// The nitrogen forms of a manure of which only total nitrogen was analysed. The set gives the share of ammonium.
    /// </summary>
    public static TracedValue<NitrogenForms<T>> FormsOf<T>(T total, Circumstances circumstances, FactorSet set)
        where T : struct, INutrientAmount<T, Nitrogen>
    {
        var provenance = new Provenance(set);
        var ammonium = total * provenance.Value(CoefficientKind.AmmoniumShare, circumstances);
        return provenance.Trace(NitrogenAnalysis.OfTotal(total, ammonium));
    }

    private static AvailableNitrogen<T> InYear<T>(
        Provenance provenance,
        int year,
        NitrogenForms<T> applied,
        Circumstances circumstances
    )
        where T : struct, INutrientAmount<T, Nitrogen>
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(year, 1);
        var then = circumstances with { Year = year };
        if (provenance.Set.Scheme == Scheme.TotalNitrogen)
            return OfTotal(provenance, applied, then);
        var organic = applied.Organic * provenance.Value(CoefficientKind.OrganicNitrogenAvailable, then);
        if (year > 1)
            return new(year, organic, new(organic * 0, organic * 0, organic));
        var ammonium = applied.Ammonium * provenance.Value(CoefficientKind.AmmoniumRetained, then);
        return new(year, ammonium + applied.Nitrate + organic, new(ammonium, applied.Nitrate, organic));
    }

    private static AvailableNitrogen<T> OfTotal<T>(Provenance provenance, NitrogenForms<T> applied, Circumstances then)
        where T : struct, INutrientAmount<T, Nitrogen>
    {
        var kept = provenance.Set.Has(CoefficientKind.TotalNitrogenKept)
            ? provenance.Value(CoefficientKind.TotalNitrogenKept, then)
            : 1;
        var share = provenance.Value(CoefficientKind.TotalNitrogenAvailable, then);
        return new(then.Year!.Value, applied.Total * kept * share, null);
    }
}

/// <summary>Nitrogen available in one year, and by form where the scheme distinguishes forms.</summary>
public sealed record AvailableNitrogen<T>(int Year, T Amount, AvailableForms<T>? Forms)
    where T : struct, INutrientAmount<T, Nitrogen>;

/// <summary>The parts of available nitrogen. They add up to it.</summary>
public sealed record AvailableForms<T>(T FromAmmonium, T FromNitrate, T FromOrganic)
    where T : struct, INutrientAmount<T, Nitrogen>;

/// <summary>An application of a former season; 1 means last season.</summary>
public sealed record FormerApplication<T>(NitrogenForms<T> Applied, Circumstances Circumstances, int SeasonsAgo)
    where T : struct, INutrientAmount<T, Nitrogen>;

/// <summary>Nitrogen from former seasons, in total and by application, in the given order.</summary>
public sealed record CarriedOver<T>(T Amount, IReadOnlyList<T> ByApplication)
    where T : struct, INutrientAmount<T, Nitrogen>;
