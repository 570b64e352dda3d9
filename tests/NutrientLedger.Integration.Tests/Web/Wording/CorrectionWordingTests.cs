using NutrientLedger.Journal.Sampling;
using NutrientLedger.Web.Wording;

namespace NutrientLedger.Integration.Tests.Web.Wording;

/// <summary>What the farm's rule corrected, in words from the event that it adopted.</summary>
public class CorrectionWordingTests
{
    [Theory]
    [InlineData(1_000_000, "Bias of 2 samples against the laboratory (r-1, r-2).")]
    [InlineData(800_000, "Slope and intercept of 2 samples against the laboratory (r-1, r-2).")]
    public void The_reason_of_a_rule_names_what_it_corrects_and_its_reports(long slopeMillionths, string words)
    {
        var adopted = new CalibrationAdopted(
            "rule-nir-totalnitrogen",
            "nir",
            Analyte.TotalNitrogen,
            slopeMillionths,
            600_000,
            DateTimeOffset.UnixEpoch,
            null,
            null,
            ["r-1", "r-2"],
            "",
            ""
        );
        var byRule = new CalibrationAdoptedByRule(new("nir", Analyte.TotalNitrogen, true, 10, 300), adopted);

        Assert.Equal(words, CorrectionWording.RuleReason(byRule));
        Assert.Null(CorrectionWording.RuleReason(adopted));
        var recorded = byRule with { Calibration = adopted with { Reason = "Bias of 12 samples on 3 days." } };
        Assert.Equal("Bias of 12 samples on 3 days.", CorrectionWording.RuleReason(recorded));
    }
}
