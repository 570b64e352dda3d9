using NutrientLedger.Ledger.Adoption;
using static NutrientLedger.Tests.Ledger.Adoption.RuledPairs;

namespace NutrientLedger.Tests.Ledger.Adoption;

/// <summary>What a rule adopts when every condition is met.</summary>
public class RuleAdoptionTests
{
    [Fact]
    public void A_rule_adopts_what_the_pairs_propose_under_its_own_id_with_its_own_name_and_reason()
    {
        var check = Check(Pairs(10));
        var adopted = Ruling(Rule, Pairs(10), [Some.Mounted(), .. Reported(10)]).Adopted("the rule", "ten pairs")!;

        Assert.Equal(Rule, adopted.Rule);
        var calibration = adopted.Calibration;
        Assert.Equal((Id, "the rule", "ten pairs"), (calibration.CalibrationId, calibration.By, calibration.Reason));
        Assert.Equal(Math.Round(check.Proposed!.Slope * 1e6), calibration.SlopeMillionths);
        Assert.Equal(Math.Round(check.Proposed.Intercept * 1e3), calibration.InterceptThousandths);
        Assert.Equal(Enumerable.Range(1, 10).Select(i => $"r-{i}"), calibration.ReportIds);
        Assert.Equal((null, null), (calibration.PitId, calibration.ValidTo));
    }

    [Fact]
    public void What_lacks_a_condition_is_not_adopted() =>
        Assert.Null(Ruling(Rule with { IsOn = false }, Pairs(10), [Some.Mounted(), .. Reported(10)]).Adopted("a", "b"));

    [Fact]
    public void A_proposal_that_no_person_could_adopt_either_is_lacking_when_all_else_holds()
    {
        // The sensor was never mounted.
        var ruling = Ruling(Rule, Pairs(10), Reported(10));

        Assert.Equal([AdoptionCondition.SoundProposal], ruling.Lacking.ToArray());
        Assert.Null(ruling.Adopted("a", "b"));
        Assert.Equal(
            [AdoptionCondition.RuleIsOn],
            Ruling(Rule with { IsOn = false }, Pairs(10), Reported(10)).Lacking.ToArray()
        );
    }
}
