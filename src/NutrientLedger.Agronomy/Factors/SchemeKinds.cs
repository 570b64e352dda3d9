using System.Collections.Immutable;

namespace NutrientLedger.Agronomy.Factors;

/// <summary>The kinds of coefficients that a set of a scheme may have. Another kind would never be read.</summary>
public static class SchemeKinds
{
    public static ImmutableArray<CoefficientKind> Of(Scheme scheme) =>
        scheme switch
        {
            Scheme.AmmoniumAndOrganic =>
            [
                CoefficientKind.AmmoniumRetained,
                CoefficientKind.OrganicNitrogenAvailable,
                CoefficientKind.AmmoniumShare,
                CoefficientKind.PhosphorusAvailable,
                CoefficientKind.PotassiumAvailable,
            ],
            Scheme.TotalNitrogen =>
            [
                CoefficientKind.TotalNitrogenKept,
                CoefficientKind.TotalNitrogenAvailable,
                CoefficientKind.PhosphorusAvailable,
                CoefficientKind.PotassiumAvailable,
            ],
            _ =>
            [
                CoefficientKind.NitrogenRemoved,
                CoefficientKind.P2O5Removed,
                CoefficientKind.K2ORemoved,
                CoefficientKind.BushelWeight,
                CoefficientKind.StandardDryMatter,
                CoefficientKind.ProteinPerNitrogen,
            ],
        };
}
