using NutrientLedger.Agronomy.Units;
using NutrientLedger.Agronomy.Units.Chemistry;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Sampling;

namespace NutrientLedger.Tests.Ledger.Sampling;

/// <summary>
/// Units that laboratories print, against worked examples of extension services. They take the same path as real
/// reports.
/// </summary>
public class LabContentTests
{
    private static readonly PrintedValue TenAndAHalfPercentSolids = new(
        PrintedAs.DryMatter,
        10.5m,
        PrintedUnit.Percent
    );

    // Livestock and Poultry Environmental Learning Community, "Manure testing: common manure test results conversions"
    // (seen): 10.5 % solids, 1.4 % P dry basis -> 2.9 lb P/ton as is. Tolerance 0.05 lb, the last digit printed.
    [Fact]
    public void Phosphorus_on_the_dry_basis_in_percent_is_as_the_page_works_it_out_per_ton()
    {
        var phosphorus = Only(
            Report(TenAndAHalfPercentSolids, Dry(PrintedAs.Phosphorus, 1.4m, PrintedUnit.Percent)),
            Analyte.Phosphorus
        );

        Assert.Equal(2.9, phosphorus.FractionOfFreshMass!.Value * Definitions.PoundsPerShortTon, 0.05);
        Assert.Null(phosphorus.InSensorUnit);
        Assert.Contains("density", phosphorus.Lacking, StringComparison.Ordinal);
    }

    // Same page (seen): 10.5 % solids, 14,000 ppm P dry basis, 8.3 lb/gal -> 12.2 lb P/1000 gal (tolerance 0.05), times
    // 2.3 -> 28.1 lb P2O5/1000 gal (tolerance 0.2 for the page's rounded 2.3). Both ends are read here.
    [Fact]
    public void Phosphorus_on_the_dry_basis_in_parts_per_million_is_as_the_page_works_it_out_per_thousand_gallons()
    {
        PrintedDensity density = new(8.3m, PrintedDensityUnit.PoundsPerUsGallon);
        var phosphorus = Only(
            Report(TenAndAHalfPercentSolids, Dry(PrintedAs.Phosphorus, 14_000m, PrintedUnit.PartsPerMillion)) with
            {
                Density = density,
            },
            Analyte.Phosphorus
        );
        var oxide = Only(
            Report(new PrintedValue(PrintedAs.P2O5, 28.1m, PrintedUnit.PoundsPer1000UsGallons)),
            Analyte.Phosphorus
        );

        Assert.Equal(12.2, PerThousandGallons(phosphorus), 0.05);
        Assert.Equal(12.2, PerThousandGallons(oxide), 0.2 / 2.291);
    }

    // University of Nebraska CropWatch, 10 Aug 2012 (seen): 30 lb N per ton of dry matter, 60 % water -> 12 lb N per
    // ton fresh. Exact.
    [Fact]
    public void Nitrogen_per_ton_of_dry_matter_is_as_the_page_works_it_out_for_fresh_manure() =>
        Assert.Equal(
            12,
            Only(
                Report(
                    new PrintedValue(PrintedAs.Moisture, 60, PrintedUnit.Percent),
                    Dry(PrintedAs.TotalNitrogen, 30, PrintedUnit.PoundsPerShortTon)
                ),
                Analyte.TotalNitrogen
            ).FractionOfFreshMass!.Value * Definitions.PoundsPerShortTon,
            1e-9
        );

    // Alberta Agriculture and Food, Agdex 400/28-3, p. 214 (seen): moisture 92 %, 3.8 g/L total N, 1.0 P, 4.3 K.
    [Fact]
    public void Grams_per_litre_and_moisture_are_the_same_whatever_they_are_printed_in()
    {
        var report = Report(
            new PrintedValue(PrintedAs.Moisture, 92, PrintedUnit.Percent),
            new PrintedValue(PrintedAs.TotalNitrogen, 3.8m, PrintedUnit.GramsPerLitre),
            new PrintedValue(PrintedAs.Phosphorus, 1000, PrintedUnit.MilligramsPerLitre),
            new PrintedValue(PrintedAs.Potassium, 4.3m, PrintedUnit.KilogramsPerCubicMetre)
        );

        Assert.Equal(80_000, Only(report, Analyte.DryMatter).InSensorUnit!.Value, 1e-6);
        Assert.Equal(3_800, Only(report, Analyte.TotalNitrogen).InSensorUnit!.Value, 1e-9);
        Assert.Equal(1_000, Only(report, Analyte.Phosphorus).InSensorUnit!.Value, 1e-9);
        Assert.Equal(4_300, Only(report, Analyte.Potassium).InSensorUnit!.Value, 1e-9);
    }

    // K2O from K by 1.2051 (Virginia Cooperative Extension, SPES-201NP, table 1, seen). NH4-N from NH4 by the abridged
    // atomic weights of IUPAC (from memory): 14.007/18.039.
    [Fact]
    public void Oxides_and_the_ammonium_ion_become_elements()
    {
        var report = Report(
            new PrintedValue(PrintedAs.K2O, 12.051m, PrintedUnit.KilogramsPerCubicMetre),
            new PrintedValue(PrintedAs.Ammonium, 18.039m, PrintedUnit.KilogramsPerCubicMetre)
        );

        Assert.Equal(10_000, Only(report, Analyte.Potassium).InSensorUnit!.Value, 1e-6);
        Assert.Equal(14_007, Only(report, Analyte.AmmoniumNitrogen).InSensorUnit!.Value, 1e-6);
    }

    [Fact]
    public void What_a_report_lacks_is_said_and_not_guessed()
    {
        var perMass = Only(
            Report(new PrintedValue(PrintedAs.TotalNitrogen, 0.4m, PrintedUnit.Percent)),
            Analyte.TotalNitrogen
        );
        var dry = Only(Report(Dry(PrintedAs.TotalNitrogen, 4, PrintedUnit.Percent)), Analyte.TotalNitrogen);
        var nonsense = Only(Report(Dry(PrintedAs.TotalNitrogen, 4, PrintedUnit.GramsPerLitre)), Analyte.TotalNitrogen);

        Assert.Contains("enter the sample's density", perMass.Lacking, StringComparison.Ordinal);
        Assert.Contains("enter its dry matter", dry.Lacking, StringComparison.Ordinal);
        Assert.Contains("look at unit and basis", nonsense.Lacking, StringComparison.Ordinal);
        Assert.All([perMass, dry, nonsense], content => Assert.Null(content.InSensorUnit));
    }

    [Fact]
    public void A_corrected_report_supersedes_the_former_which_is_kept()
    {
        var first = Report(TenAndAHalfPercentSolids);
        var reports = Some.Configuration(
            first,
            new LabResultCorrected(first.ReportId, first with { ReportId = "r-2" }, "Ada Ash", "Weighed again")
        ).LabReports;

        Assert.Equal(["r-1", "r-2"], reports.All.Select(report => report.Result.ReportId));
        Assert.Equal("r-2", Assert.Single(reports.InForce).Result.ReportId);
        Assert.Equal("r-2", reports.Find("r-1")!.SupersededBy);
        Assert.Equal(("r-1", "Weighed again"), (reports.Find("r-2")!.Supersedes, reports.Find("r-2")!.Reason));
    }

    private static double PerThousandGallons(LabContent content) =>
        new Concentration<Phosphorus>(content.KilogramsPerCubicMetre!.Value).PoundsPer1000UsGallons;

    private static LabContent Only(LabResultReported report, Analyte analyte) =>
        Assert.Single(LabContent.Of(report), content => content.Analyte == analyte);

    private static PrintedValue Dry(PrintedAs what, decimal value, PrintedUnit unit) =>
        new(what, value, unit, PrintedBasis.DryMatter);

    private static LabResultReported Report(params PrintedValue[] values) =>
        new(
            "r-1",
            "sample 1",
            "Fen Street laboratory",
            Some.Morning,
            Some.Morning.AddMinutes(10),
            Some.Pit,
            null,
            "grab samples, mixed",
            new(2026, 5, 2),
            [.. values],
            null,
            "Ada Ash"
        );
}
