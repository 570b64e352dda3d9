using System.Net.Http.Json;
using System.Text.Json;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Office.Import;
using NutrientLedger.Store;

namespace NutrientLedger.Integration.Tests.Office;

/// <summary>
/// A drive whose nitrogen steps up every ten seconds, ten litres a second, and a sample beside the sensor in each step: the laboratory finds
/// about 0.8 × sensor + 0.6 g/L, so that the slope is no chance.
/// </summary>
public class RuleAdoptionTests(OfficeHost office) : IClassFixture<OfficeHost>
{
    private const string Rule =
        """{ "sensor": "nir", "analyte": "totalNitrogen", "state": "on", "pairsAtLeast": 10, "standardErrorAtMost": 0.3 }""";

    [DatabaseFact]
    public async Task Without_a_rule_and_with_one_that_is_off_nobody_adopts_anything()
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
        Assert.Equal("There are 9 pairs; the rule asks for 10.", (await LackingAsync("ruled"))[0]);
        var outcome = await ReportAsync("ruled", 10, 10);

        Assert.Equal((1, "rule-nir-totalnitrogen"), (outcome.Recorded, Assert.Single(outcome.AdoptedByRule!)));
        var adopted = Assert.Single(await AdoptionsAsync("ruled"));
        Assert.Equal(10, adopted.Calibration.ReportIds.Length);
        Assert.Equal(new AdoptionRuleSet("nir", Analyte.TotalNitrogen, true, 10, 300), adopted.Rule);
        Assert.Equal(800_000, adopted.Calibration.SlopeMillionths, 20_000.0);
        // The report and what the rule made of it stand side by side, in one transaction.
        var entries = (await office.Registers.ReadAsync("ruled", null, default)).Entries;
        Assert.IsType<LabResultReported>(entries[^2].Entry);
        Assert.Equal(entries[^2].RecordedAt, entries[^1].RecordedAt);

        var listed = Assert.Single(
            (await office.Client.AskAsync("/api/farms/ruled/calibrations")).GetProperty("calibrations").EnumerateArray()
        );
        Assert.StartsWith(
            "the farm's rule for nir, totalNitrogen: from 10 pairs",
            listed.Text("adoptedBy"),
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

        using var response = await office.Client.PostAsJsonAsync(
            "/api/farms/withdrawn/calibrations/rule-nir-totalnitrogen/withdraw",
            new { withdrawnBy = "Ada Ash", why = "Samples mixed up" }
        );
        Assert.True(response.IsSuccessStatusCode, await response.Content.ReadAsStringAsync());
        var again = await ReportAsync("withdrawn", 1, 10);

        Assert.Equal((0, 10), (again.Recorded, again.Unchanged));
        Assert.Null(again.AdoptedByRule);
        Assert.StartsWith(
            "No laboratory report among the pairs is newer",
            Assert.Single(await LackingAsync("withdrawn")),
            StringComparison.Ordinal
        );
        Assert.Empty((await office.Registers.ReadAsync("withdrawn", null, default)).Register.Calibrations.Adopted);

        Assert.NotNull((await ReportAsync("withdrawn", 11, 11)).AdoptedByRule);
        var inForce = (await office.Registers.ReadAsync("withdrawn", null, default)).Register.Calibrations.Adopted;
        Assert.Equal(11, Assert.Single(inForce).ReportIds.Length);
    }

    [DatabaseFact]
    public async Task An_error_that_the_rule_does_not_allow_is_told_and_ids_of_rules_are_not_for_people()
    {
        await FarmAsync("strict", Rule.Replace("0.3", "0.1", StringComparison.Ordinal));

        Assert.Null((await ReportAsync("strict", 1, 10)).AdoptedByRule);
        Assert.Matches(
            @"^The standard error of prediction is 179\.\d+ mg/L; the rule allows 100\.$",
            Assert.Single(await LackingAsync("strict"))
        );
        using var response = await office.Client.PostAsJsonAsync(
            "/api/farms/strict/calibrations",
            new
            {
                calibration = "rule-nir-totalnitrogen",
                sensor = "nir",
                analyte = "totalNitrogen",
                slope = 1.1,
                validFrom = "2026-04-21T14:00:00Z",
                adoptedBy = "Ada Ash",
                why = "Laboratory finds more",
            }
        );
        Assert.Contains("choose another", await response.Content.ReadAsStringAsync(), StringComparison.Ordinal);
    }

    private async Task FarmAsync(string id, string? rule)
    {
        using var farm = new SmallFarm(id);
        if (rule is not null)
            farm.Write(
                farm.FarmText.Replace(
                    "\"plans\":",
                    $"\"calibrationRules\": [ {rule} ],\n\"plans\":",
                    StringComparison.Ordinal
                ),
                SmallFarm.FieldsText
            );
        Assert.Empty((await office.Import.ImportAsync(farm.Path, default)).Problems);
        Assert.Equal(0, (await office.Import.ImportAsync(farm.Path, default)).Recorded);
        var drive = ((SpreadingMeasured)farm.Spreading(1, 130).Entry).Pack;
        var stepped = drive with
        {
            Readings =
            [
                .. drive.Readings.Select(
                    (reading, i) => reading with { TotalNitrogenMilligramsPerLitre = Read(1 + (i / 10)) }
                ),
            ],
        };
        await office.PostAsync(
            new ArrivedPack(id, new SpreadingMeasured(stepped), $"agri/v1/{id}/drag-line", ReadOnlyMemory<byte>.Empty)
        );
    }

    /// <summary>The sensor in step 1 to 12, 2.3 g/L and upwards; with two more steps the laboratory stays inside what it read.</summary>
    private static int Read(int step) => 2_000 + (300 * step);

    /// <summary>Imports the reports of some steps; readings 10·step − 9 to 10·step lie in one.</summary>
    private async Task<ImportOutcome> ReportAsync(string farm, int first, int last)
    {
        var reports = Enumerable
            .Range(first, last - first + 1)
            .Select(step => new
            {
                id = $"r-{step}",
                sample = $"jar {step}",
                laboratory = "Fen Street laboratory",
                sampledFrom = SmallFarm.Morning.AddSeconds((10 * step) - 9),
                sampledTo = SmallFarm.Morning.AddSeconds((10 * step) + 1),
                sensor = "nir",
                method = "mixed grab samples",
                reportedOn = "2026-05-02",
                values = new[]
                {
                    new
                    {
                        what = "totalNitrogen",
                        value = (0.8m * Read(step) / 1000) + 0.6m + (step % 2 == 0 ? 0.02m : -0.02m),
                        unit = "g/L",
                    },
                },
                enteredBy = "Ada Ash",
            });
        var path = Path.GetTempFileName();
        try
        {
            await File.WriteAllTextAsync(path, JsonSerializer.Serialize(new { reports }));
            var outcome = await office.Lab.ImportAsync(farm, path, default);
            Assert.Empty(outcome.Problems);
            return outcome;
        }
        finally
        {
            File.Delete(path);
        }
    }

    private Task<JsonElement> PairsAsync(string farm) =>
        office.Client.AskAsync($"/api/farms/{farm}/lab-results/pairs?sensor=nir&analyte=totalNitrogen");

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
            .. (await office.Registers.ReadAsync(farm, null, default))
                .Entries.Select(recorded => recorded.Entry)
                .OfType<CalibrationAdoptedByRule>(),
        ];

    private async Task<JsonElement> StatementAsync(string farm, string id)
    {
        using var limit = new CancellationTokenSource(TimeSpan.FromSeconds(60));
        while (true)
        {
            var known = (await office.Client.AskAsync($"/api/farms/{farm}/statements"))
                .GetProperty("statements")
                .EnumerateArray()
                .LastOrDefault(statement => statement.Text("id") == id);
            if (known.ValueKind == JsonValueKind.Object)
                return known;
            await Task.Delay(20, limit.Token);
        }
    }
}
