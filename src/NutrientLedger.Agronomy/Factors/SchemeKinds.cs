using System.Collections.Immutable;

namespace NutrientLedger.Agronomy.Factors;

/// <summary>Which kinds of figures a set of a scheme may hold; another kind in it would never be read.</summary>
public static class SchemeKinds
{
    public static ImmutableArray<FigureKind> Of(Scheme scheme) =>
        scheme switch
        {
            Scheme.AmmoniumAndOrganic =>
            [
                FigureKind.AmmoniumRetained,
                FigureKind.OrganicNitrogenAvailable,
                FigureKind.AmmoniumShare,
                FigureKind.PhosphorusAvailable,
                FigureKind.PotassiumAvailable,
            ],
            Scheme.TotalNitrogen =>
            [
                FigureKind.TotalNitrogenKept,
                FigureKind.TotalNitrogenAvailable,
                FigureKind.PhosphorusAvailable,
                FigureKind.PotassiumAvailable,
            ],
            _ =>
            [
                FigureKind.NitrogenRemoved,
                FigureKind.P2O5Removed,
                FigureKind.K2ORemoved,
                FigureKind.BushelWeight,
                FigureKind.StandardDryMatter,
                FigureKind.ProteinPerNitrogen,
            ],
        };
}
