using NutrientLedger.Journal;
using NutrientLedger.Journal.Sampling;

namespace NutrientLedger.Architecture.Tests;

/// <summary>
/// Examples of laboratory reports and the events that follow, by the files that hold their stored form.
/// </summary>
internal static class SamplingEvents
{
    private static readonly DateTimeOffset Moment = new(2026, 4, 14, 10, 0, 0, TimeSpan.FromHours(-5));

    private static readonly LabResultReported Report = new(
        "r-14",
        "s-3",
        "Fen Street laboratory",
        Moment,
        Moment.AddMinutes(20),
        "north",
        null,
        "Kjeldahl",
        new(2026, 5, 2),
        [
            new(PrintedAs.TotalNitrogen, 3.80m, PrintedUnit.KilogramsPerCubicMetre),
            new(PrintedAs.P2O5, 2.1m, PrintedUnit.Percent, PrintedBasis.DryMatter),
        ],
        new(8.3m, PrintedDensityUnit.PoundsPerUsGallon),
        "office"
    );

    private static readonly AdoptionRuleSet Rule = new("nir-1", Analyte.TotalNitrogen, true, 20, 300);

    public static Dictionary<string, IJournalEvent> Examples { get; } =
        new()
        {
            ["lab_result_reported.json"] = Report,
            ["lab_result_reported.applicator.json"] = Report with { PitId = null, ApplicatorId = "dragline-1" },
            ["lab_result_corrected.json"] = new LabResultCorrected(
                "r-14",
                Report with
                {
                    ReportId = "r-14b",
                },
                "office",
                "Weighed again"
            ),
            ["calibration_adopted.json"] = new CalibrationAdopted(
                "nir-n-1",
                "nir-1",
                Analyte.TotalNitrogen,
                1_000_000,
                -120_000,
                Moment,
                Moment.AddDays(30),
                "north",
                ["r-14b"],
                "office",
                "Laboratory finds less"
            ),
            ["adoption_rule_set.json"] = Rule,
            ["calibration_adopted_by_rule.json"] = new CalibrationAdoptedByRule(
                Rule,
                new(
                    "rule-nir-1-totalnitrogen",
                    "nir-1",
                    Analyte.TotalNitrogen,
                    1_024_000,
                    0,
                    Moment,
                    null,
                    null,
                    ["r-14b"],
                    "the farm's rule",
                    "Slope of 24 samples"
                )
            ),
            ["calibration_withdrawn.json"] = new CalibrationWithdrawn("nir-n-1", "office", "Sample was mixed up"),
        };
}
