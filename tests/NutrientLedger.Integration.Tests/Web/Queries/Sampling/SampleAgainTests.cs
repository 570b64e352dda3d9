using System.Text.Json;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Web.Contracts.Farms;

namespace NutrientLedger.Integration.Tests.Web.Queries.Sampling;

/// <summary>Samples that were entered under several reports.</summary>
public class SampleAgainTests(WebTestHost web) : IClassFixture<WebTestHost>
{
    private const string Rule =
        """{ "sensor": "nir", "analyte": "totalNitrogen", "state": "on", "pairsMin": 10, "standardErrorMax": 0.3 }""";

    [DatabaseFact]
    public async Task Two_jars_entered_five_times_each_are_two_pairs_for_the_rule_and_the_answer_names_the_other_reports()
    {
        await SteppedFarm.BeginAsync(web, "again", Rule, "onApplicator");
        ImportOutcome? outcome = null;
        for (var time = 1; time <= 5; time++)
            outcome = await SteppedFarm.ReportAsync(
                web,
                "again",
                1,
                2,
                step => 2.4m + (step * 0.075m),
                applicator: null,
                time == 1 ? "" : $"-{time}"
            );

        Assert.Null(outcome!.AdoptedByRule);
        Assert.Equal(
            "The rule for nir, totalNitrogen, adopted nothing: 2 pairs so far; the rule needs 10. Samples on 1 day: a test needs 3 days, because samples of one day share an error. Sample on other days. 2 pairs on 1 day: nothing is tested.",
            Assert.Single(outcome.RuleNotes!)
        );
        var pairs = await web.Client.AskAsync("/api/farms/again/lab-results/pairs?sensor=nir&analyte=totalNitrogen");
        Assert.Equal(
            ["r-1-2", "r-1-3", "r-1-4", "r-1-5"],
            pairs.GetProperty("pairs")[0].GetProperty("furtherReports").EnumerateArray().Select(it => it.GetString())
        );
        Assert.Contains(
            pairs.GetProperty("warnings").EnumerateArray(),
            it =>
                it.GetString()!
                    .StartsWith("Reports of a sample that is known already: r-1-2, ", StringComparison.Ordinal)
        );
        Assert.Equal(JsonValueKind.Null, pairs.GetProperty("proposal").ValueKind);
    }
}
