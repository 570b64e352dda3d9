using System.Net.Http.Json;
using System.Text.Json;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Web.Contracts.Farms;

namespace NutrientLedger.Integration.Tests.Web.Queries.Sampling;

/// <summary>What a farm's rule adopts with a laboratory report, and why it does not adopt.</summary>
public class RuleAdoptionTests(WebTestHost web) : IClassFixture<WebTestHost>
{
    private const string Rule =
        """{ "sensor": "nir", "analyte": "totalNitrogen", "state": "on", "pairsMin": 10, "standardErrorMax": 0.3 }""";

    [DatabaseFact]
    public async Task Without_a_rule_or_with_one_that_is_off_nothing_is_adopted()
    {
        await FarmAsync("ruleless", rule: null);
        await FarmAsync("rule-off", Rule.Replace("\"on\"", "\"off\"", StringComparison.Ordinal));

        Assert.Null((await ReportAsync("ruleless", 1, 12)).AdoptedByRule);
        Assert.Null((await ReportAsync("rule-off", 1, 12)).AdoptedByRule);
        Assert.Equal(JsonValueKind.Null, (await PairsAsync("ruleless")).GetProperty("rule").ValueKind);
        Assert.Equal(["The rule is off."], await LackingAsync("rule-off"));
        Assert.Empty(await AdoptionsAsync("ruleless"));
        Assert.Empty(await AdoptionsAsync("rule-off"));
    }

    [DatabaseFact]
    public async Task The_report_that_fulfils_the_rule_is_recorded_with_the_calibration_and_a_statement_follows()
    {
        await FarmAsync("ruled", Rule);

        Assert.Null((await ReportAsync("ruled", 1, 9)).AdoptedByRule);
        Assert.Equal("9 pairs so far; the rule needs 10.", (await LackingAsync("ruled"))[0]);
        var outcome = await ReportAsync("ruled", 10, 10);

        Assert.Equal(
            "The rule for nir, totalNitrogen, adopted a calibration. 10 pairs on 5 days: bias and slope are tested at 2.5 % each, 5 % together.",
            Assert.Single(outcome.RuleNotes!)
        );
        Assert.Equal((1, "rule-nir-totalnitrogen"), (outcome.Recorded, Assert.Single(outcome.AdoptedByRule!)));
        var adopted = Assert.Single(await AdoptionsAsync("ruled"));
        Assert.Equal(10, adopted.Calibration.ReportIds.Length);
        Assert.Equal(new AdoptionRuleSet("nir", Analyte.TotalNitrogen, true, 10, 300), adopted.Rule);
        Assert.Equal(800_000, adopted.Calibration.SlopeMillionths, 20_000.0);
        // The report and the rule's adoption stand side by side, in one transaction.
        var events = (await web.Configurations.ReadAsync("ruled", null, default)).Events;
        Assert.IsType<LabResultReported>(events[^2].Event);
        Assert.Equal(events[^2].RecordedAt, events[^1].RecordedAt);

        var listed = Assert.Single(
            (await web.Client.AskAsync("/api/farms/ruled/calibrations")).GetProperty("calibrations").EnumerateArray()
        );
        Assert.StartsWith(
            "the farm's rule for nir, totalNitrogen: from 10 pairs",
            listed.Text("by"),
            StringComparison.Ordinal
        );
        Assert.StartsWith(
            "Slope and intercept of 10 samples on 5 days against the laboratory, tested at 5 % (r-1, ",
            listed.Text("reason"),
            StringComparison.Ordinal
        );
        var statement = await StatementAsync("ruled", "rule-nir-totalnitrogen");
        Assert.Equal("calibration_adopted_by_rule", statement.Text("kind"));
    }

    [DatabaseFact]
    public async Task What_a_person_withdrew_is_not_adopted_again_before_a_new_report()
    {
        await FarmAsync("withdrawn", Rule);
        Assert.NotNull((await ReportAsync("withdrawn", 1, 10)).AdoptedByRule);
        Assert.Null((await ReportAsync("withdrawn", 1, 10)).AdoptedByRule);

        using var response = await web.Client.PostAsJsonAsync(
            "/api/farms/withdrawn/calibrations/rule-nir-totalnitrogen/withdraw",
            new { by = "Ada Ash", reason = "Samples mixed up" }
        );
        Assert.True(response.IsSuccessStatusCode, await response.Content.ReadAsStringAsync());
        var again = await ReportAsync("withdrawn", 1, 10);

        Assert.Equal((0, 10), (again.Recorded, again.Unchanged));
        Assert.Null(again.AdoptedByRule);
        Assert.StartsWith(
            "No new laboratory report since the last adoption or withdrawal.",
            Assert.Single(await LackingAsync("withdrawn")),
            StringComparison.Ordinal
        );
        Assert.Empty(
            (await web.Configurations.ReadAsync("withdrawn", null, default)).Configuration.Calibrations.Adopted
        );

        Assert.NotNull((await ReportAsync("withdrawn", 11, 11)).AdoptedByRule);
        var inForce = (await web.Configurations.ReadAsync("withdrawn", null, default))
            .Configuration
            .Calibrations
            .Adopted;
        Assert.Equal(11, Assert.Single(inForce).ReportIds.Length);
    }

    [DatabaseFact]
    public async Task An_error_above_the_rules_limit_is_reported_and_ids_of_rules_are_not_for_people()
    {
        await FarmAsync("strict", Rule.Replace("0.3", "0.1", StringComparison.Ordinal));

        Assert.Null((await ReportAsync("strict", 1, 10)).AdoptedByRule);
        Assert.Matches(
            @"^The standard error of prediction is 0\.179\d* g/L; the rule allows 0\.1 g/L\.$",
            Assert.Single(await LackingAsync("strict"))
        );
        using var response = await web.Client.PostAsJsonAsync(
            "/api/farms/strict/calibrations",
            new
            {
                calibration = "rule-nir-totalnitrogen",
                sensor = "nir",
                analyte = "totalNitrogen",
                slope = 1.1,
                validFrom = "2026-04-21T14:00:00Z",
                by = "Ada Ash",
                reason = "Laboratory finds more",
            }
        );
        Assert.Contains("Choose another id", await response.Content.ReadAsStringAsync(), StringComparison.Ordinal);
    }

    /// <summary>The other reasons are covered by the tests above.</summary>
    [DatabaseFact]
    public async Task Each_reason_why_nothing_is_adopted_is_in_the_pairs_response()
    {
        await FarmAsync("by-chance", Rule);
        // Steps 13 to 17 read 5.9 g/L and more; the ten samples cover 2.3 to 5.0.
        await SteppedFarm.BeginAsync(web, "beyond", Rule, "onApplicator", steps: 17);
        await FarmAsync("far-away", Rule, place: "atPump");
        await FarmAsync("by-hand", Rule);
        using var adopted = await web.Client.PostAsJsonAsync(
            "/api/farms/by-hand/calibrations",
            new
            {
                calibration = "n-1",
                sensor = "nir",
                analyte = "totalNitrogen",
                slope = 1.1,
                validFrom = "2026-04-21T14:00:00Z",
                by = "Ada Ash",
                reason = "Laboratory finds more",
            }
        );
        Assert.True(adopted.IsSuccessStatusCode, await adopted.Content.ReadAsStringAsync());

        // Up and down around the sensor's own value.
        decimal Chance(int step) => (SteppedFarm.Read(step) / 1000m) + (step % 2 == 0 ? 0.09m : -0.09m);
        await NothingAsync("by-chance", "No significant slope error or bias on 5 days, at 5 %.", Chance);
        await NothingAsync(
            "beyond",
            "29 % of the volume to correct was read outside the sensor's range in the samples, 2.3 to 5 g/L; the rule allows 10 %.",
            SteppedFarm.Found
        );
        await NothingAsync(
            "far-away",
            "A sample was taken at the applicator and measured at the pump",
            SteppedFarm.Found,
            "drag-line"
        );
        await NothingAsync("by-hand", "A calibration adopted by a person is in force", SteppedFarm.Found);

        async Task NothingAsync(string farm, string why, Func<int, decimal> found, string? applicator = null)
        {
            Assert.Null((await ReportAsync(farm, 1, 10, found, applicator)).AdoptedByRule);
            Assert.StartsWith(why, Assert.Single(await LackingAsync(farm)), StringComparison.Ordinal);
            Assert.Empty(await AdoptionsAsync(farm));
        }
    }

    private Task FarmAsync(string id, string? rule, string place = "onApplicator") =>
        SteppedFarm.BeginAsync(web, id, rule, place);

    private Task<ImportOutcome> ReportAsync(
        string farm,
        int first,
        int last,
        Func<int, decimal>? found = null,
        string? applicator = null
    ) => SteppedFarm.ReportAsync(web, farm, first, last, found ?? SteppedFarm.Found, applicator);

    private Task<JsonElement> PairsAsync(string farm) =>
        web.Client.AskAsync($"/api/farms/{farm}/lab-results/pairs?sensor=nir&analyte=totalNitrogen");

    private async Task<string[]> LackingAsync(string farm) =>
        [
            .. (await PairsAsync(farm))
                .GetProperty("rule")
                .GetProperty("lacking")
                .EnumerateArray()
                .Select(reason => reason.GetString()!),
        ];

    private async Task<CalibrationAdoptedByRule[]> AdoptionsAsync(string farm) =>
        [
            .. (await web.Configurations.ReadAsync(farm, null, default))
                .Events.Select(recorded => recorded.Event)
                .OfType<CalibrationAdoptedByRule>(),
        ];

    private async Task<JsonElement> StatementAsync(string farm, string id)
    {
        using var limit = new CancellationTokenSource(WebTestHost.Patience);
        while (true)
        {
            var known = (await web.Client.AskAsync($"/api/farms/{farm}/statements"))
                .GetProperty("statements")
                .EnumerateArray()
                .LastOrDefault(statement => statement.Text("id") == id);
            if (known.ValueKind == JsonValueKind.Object)
                return known;
            await Task.Delay(20, limit.Token);
        }
    }
}
