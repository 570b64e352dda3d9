using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Agronomy.Factors.Conditions;
using NutrientLedger.Agronomy.Units;
using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Agronomy.Harvest;

/// <summary>
/// Nutrients removed with a harvest. A legume takes much of its nitrogen from the air, so its nitrogen is kept apart.
/// It enters no balance that is limited by nitrogen unless a rule says so.
/// </summary>
public sealed record NutrientsRemoved(
    Mass<Nitrogen>? Nitrogen,
    Mass<Nitrogen>? LegumeNitrogen,
    Mass<P2O5>? P2O5,
    Mass<K2O>? K2O
);

/// <summary>Computes what a harvest removes, from the coefficients of a set or from a crop analysis.</summary>
public static class CropRemoval
{
    /// <summary>
    /// Removal from the yield and the coefficients of a set. A nutrient is null when <paramref name="nutrients"/> does
    /// not ask for it. When it does and the set has no coefficient for this crop, the result is incomplete.
    /// </summary>
    public static TracedValue<NutrientsRemoved> FromYield(
        HarvestedYield yield,
        Circumstances crop,
        RemovedNutrients nutrients,
        FactorSet set
    )
    {
        var provenance = new Provenance(set);
        double? Removed(RemovedNutrients nutrient, CoefficientKind kind) =>
            nutrients.HasFlag(nutrient) ? Kilograms(provenance, kind, yield, crop) : null;

        var nitrogen = AsMass<Nitrogen>(Removed(RemovedNutrients.Nitrogen, CoefficientKind.NitrogenRemoved));
        var isLegume = crop.Crop is { } name && set.Legumes.Contains(name);
        return provenance.Trace(
            new NutrientsRemoved(
                isLegume ? null : nitrogen,
                isLegume ? nitrogen : null,
                AsMass<P2O5>(Removed(RemovedNutrients.P2O5, CoefficientKind.P2O5Removed)),
                AsMass<K2O>(Removed(RemovedNutrients.K2O, CoefficientKind.K2ORemoved))
            )
        );
    }

    /// <summary>
    /// Removal from a weighed crop and its analysis. Crude protein is converted to nitrogen by the set's coefficient.
    /// </summary>
    public static TracedValue<NutrientsRemoved> FromAnalysis(
        WeighedYield yield,
        CropAnalysis analysis,
        bool isLegume,
        FactorSet set
    )
    {
        var provenance = new Provenance(set);
        Mass<Nitrogen>? nitrogen = null;
        if (analysis.CrudeProtein is { } protein)
        {
            var proteinPerNitrogen = provenance.Use(CoefficientKind.ProteinPerNitrogen, new())?.Value;
            nitrogen = new(
                protein.AsIs(yield.DryMatter).KilogramsPerKilogram * yield.Fresh.Kilograms / (proteinPerNitrogen ?? 1)
            );
        }
        return provenance.Trace(
            new NutrientsRemoved(
                isLegume ? null : nitrogen,
                isLegume ? nitrogen : null,
                (analysis.Phosphorus?.AsIs(yield.DryMatter) * yield.Fresh)?.As<P2O5>(),
                (analysis.Potassium?.AsIs(yield.DryMatter) * yield.Fresh)?.As<K2O>()
            )
        );
    }

    private static Mass<T>? AsMass<T>(double? kilograms)
        where T : INutrient => kilograms is { } known ? new Mass<T>(known) : null;

    private static double Kilograms(
        Provenance provenance,
        CoefficientKind kind,
        HarvestedYield yield,
        Circumstances crop
    )
    {
        if (provenance.Use(kind, crop) is not { } found)
            return 0;
        if (PerUnit.Kilograms(found, yield) is { } kilograms)
            return kilograms;
        provenance.NoteMissing(
            MissingCoefficient.Of(provenance.Set.Id, kind, crop, MissingCause.OtherMeasure) with
            {
                Coefficient = found.Coefficient.Name,
                Unit = found.Coefficient.Unit,
            }
        );
        return 0;
    }
}

/// <summary>The nutrients whose removal is wanted.</summary>
[Flags]
public enum RemovedNutrients
{
    None = 0,
    Nitrogen = 1,
    P2O5 = 2,
    K2O = 4,
    All = Nitrogen | P2O5 | K2O,
}

/// <summary>What was measured in a harvested crop, each on a dry-matter basis. Null means not measured.</summary>
public sealed record CropAnalysis(
    DryContent<CrudeProtein>? CrudeProtein,
    DryContent<Phosphorus>? Phosphorus,
    DryContent<Potassium>? Potassium
);
