using NutrientLedger.Agronomy.Units;
using NutrientLedger.Agronomy.Units.Chemistry;
using NutrientLedger.Journal.Sampling;

namespace NutrientLedger.Ledger.Sampling;

/// <summary>
/// What a laboratory report gives for one analyte (elemental, as is). It is kg per kg of fresh mass and kg/m³, each
/// where the report has enough data. Words say what is lacking for the unit in which sensors measure it. Nothing is
/// guessed: no default density replaces a missing one.
/// </summary>
public sealed record LabContent(
    Analyte Analyte,
    double? FractionOfFreshMass,
    double? KilogramsPerCubicMetre,
    string? Lacking
)
{
    /// <summary>As a sensor reports it: parts per million of fresh mass for dry matter, mg/L for nutrients.</summary>
    public double? InSensorUnit =>
        Analyte == Analyte.DryMatter
            ? FractionOfFreshMass * Definitions.PartsPerMillion
            : KilogramsPerCubicMetre * 1000;

    /// <summary>The content of each line of a report, in the order in which they are printed.</summary>
    public static IReadOnlyList<LabContent> Of(LabResultReported report)
    {
        var density = report.Density is { } printed ? DensityOf(printed) : (Density?)null;
        var dryMatter = report
            .Values.Where(value => AnalyteOf(value.What) == Analyte.DryMatter)
            .Select(value => DryMatterOf(value, density))
            .FirstOrDefault(content => content.FractionOfFreshMass is > 0 and <= 1)
            is { FractionOfFreshMass: { } fraction }
            ? new DryMatter(fraction)
            : (DryMatter?)null;
        return [.. report.Values.Select(value => Of(value, dryMatter, density))];
    }

    /// <summary>The analyte of a line of a report, in whatever form it is printed.</summary>
    public static Analyte AnalyteOf(PrintedAs what) =>
        what switch
        {
            PrintedAs.DryMatter or PrintedAs.Moisture => Analyte.DryMatter,
            PrintedAs.TotalNitrogen => Analyte.TotalNitrogen,
            PrintedAs.AmmoniumNitrogen or PrintedAs.Ammonium => Analyte.AmmoniumNitrogen,
            PrintedAs.Phosphorus or PrintedAs.P2O5 => Analyte.Phosphorus,
            PrintedAs.Potassium or PrintedAs.K2O => Analyte.Potassium,
            _ => throw new ArgumentOutOfRangeException(nameof(what)),
        };

    private static LabContent Of(PrintedValue value, DryMatter? dryMatter, Density? density)
    {
        return value.What switch
        {
            PrintedAs.DryMatter or PrintedAs.Moisture => DryMatterOf(value, density),
            PrintedAs.TotalNitrogen => Read<Nitrogen>().Nutrient(Analyte.TotalNitrogen),
            PrintedAs.AmmoniumNitrogen => Read<Nitrogen>().Nutrient(Analyte.AmmoniumNitrogen),
            PrintedAs.Ammonium => Read<Ammonium>().As<Nitrogen>().Nutrient(Analyte.AmmoniumNitrogen),
            PrintedAs.Phosphorus => Read<Phosphorus>().Nutrient(Analyte.Phosphorus),
            PrintedAs.P2O5 => Read<P2O5>().As<Phosphorus>().Nutrient(Analyte.Phosphorus),
            PrintedAs.Potassium => Read<Potassium>().Nutrient(Analyte.Potassium),
            PrintedAs.K2O => Read<K2O>().As<Potassium>().Nutrient(Analyte.Potassium),
            _ => throw new ArgumentOutOfRangeException(nameof(value)),
        };

        PrintedContent<T> Read<T>()
            where T : INutrient => PrintedContent<T>.Of(value, dryMatter, density);
    }

    private static LabContent DryMatterOf(PrintedValue value, Density? density)
    {
        if (value.Basis == PrintedBasis.DryMatter)
            return new(Analyte.DryMatter, null, null, "dry matter and moisture are of the material as it is");
        var printed = PrintedContent<DrySolids>.Of(value, null, density);
        if (printed.Fresh is not { KilogramsPerKilogram: var share })
            return new(Analyte.DryMatter, null, printed.Liquid?.KilogramsPerCubicMetre, printed.Lacking);
        var fraction = value.What == PrintedAs.Moisture ? 1 - share : share;
        return new(Analyte.DryMatter, fraction, fraction * density?.KilogramsPerCubicMetre, null);
    }

    private static Density DensityOf(PrintedDensity printed) =>
        printed.Unit switch
        {
            PrintedDensityUnit.KilogramsPerCubicMetre => new((double)printed.Value),
            PrintedDensityUnit.KilogramsPerLitre => new((double)printed.Value * Definitions.LitresPerCubicMetre),
            PrintedDensityUnit.PoundsPerUsGallon => Density.FromPoundsPerUsGallon((double)printed.Value),
            PrintedDensityUnit.PoundsPerCubicFoot => Density.FromPoundsPerCubicFoot((double)printed.Value),
            _ => throw new ArgumentOutOfRangeException(nameof(printed)),
        };
}
