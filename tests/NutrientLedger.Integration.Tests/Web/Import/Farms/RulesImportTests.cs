using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal.Sampling;

namespace NutrientLedger.Integration.Tests.Web.Import.Farms;

public class RulesImportTests(WebTestHost web) : IClassFixture<WebTestHost>
{
    [DatabaseFact]
    public async Task Each_analyte_of_a_sensor_has_a_rule_of_its_own_and_importing_them_again_adds_nothing()
    {
        using var farm = new SmallFarm("two-rules");
        farm.Write(With(farm, "on"), SmallFarm.FieldsText);
        Assert.Equal(13, (await web.Import.ImportAsync(farm.Path, default)).Recorded);
        var again = await web.Import.ImportAsync(farm.Path, default);
        Assert.Equal((0, 13), (again.Recorded, again.Unchanged));

        farm.Write(With(farm, "off"), SmallFarm.FieldsText);
        var changed = await web.Import.ImportAsync(farm.Path, default);

        Assert.Equal((1, 12), (changed.Recorded, changed.Unchanged));
        // The rule that was switched off counts no more. 0.5 % of fresh mass are 5,000 ppm; 0.3 g/L are 300 mg/L.
        var configuration = (await web.Configurations.ReadAsync("two-rules", null, default)).Configuration;
        Assert.Equal(
            [
                new AdoptionRuleSet("nir", Analyte.DryMatter, true, 12, 5_000),
                new AdoptionRuleSet("nir", Analyte.TotalNitrogen, false, 10, 300),
            ],
            configuration.Recorded<AdoptionRuleSet>()
        );
    }

    private static string With(SmallFarm farm, string state) =>
        farm.FarmText.Replace(
            "\"plans\":",
            $$"""
            "calibrationRules": [
              { "sensor": "nir", "analyte": "totalNitrogen", "state": "{{state}}", "pairsMin": 10, "standardErrorMax": 0.3 },
              { "sensor": "nir", "analyte": "dryMatter", "state": "on", "pairsMin": 12, "standardErrorMax": 0.5 }
            ],
            "plans":
            """,
            StringComparison.Ordinal
        );
}
