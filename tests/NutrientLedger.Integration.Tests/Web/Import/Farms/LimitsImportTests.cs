using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal.Readings;

namespace NutrientLedger.Integration.Tests.Web.Import.Farms;

public class LimitsImportTests(WebTestHost web) : IClassFixture<WebTestHost>
{
    private const long AtNoon = 1_775_000_000_000;

    [DatabaseFact]
    public async Task Limits_of_the_farm_file_become_whole_units_and_importing_them_again_adds_nothing()
    {
        using var farm = new SmallFarm("limited");
        farm.Write(With(farm, "0.3"), SmallFarm.FieldsText);

        Assert.Equal(13, (await web.Import.ImportAsync(farm.Path, default)).Recorded);
        var again = await web.Import.ImportAsync(farm.Path, default);
        Assert.Equal((0, 13), (again.Recorded, again.Unchanged));

        var configuration = (await web.Configurations.ReadAsync("limited", null, default)).Configuration;
        var ofTheFarm = configuration.Limits("some-wagon", AtNoon)!.Limits;
        Assert.Equal(9, ofTheFarm.Length);
        // 15 % of fresh mass are 150,000 ppm; 0.5 L/s are 500 mL/s.
        Assert.Contains(ofTheFarm, limit => limit is { Quantity: LimitedQuantity.DryMatter, Max: 150_000 });
        Assert.Contains(ofTheFarm, limit => limit is { Quantity: LimitedQuantity.FlowWhileDisengaged, Max: 500 });
        var own = Assert.Single(configuration.Limits("drag-line", AtNoon)!.Limits);
        Assert.Equal(new ReadingLimit(LimitedQuantity.TotalNitrogen, 300, null, "own samples"), own);
    }

    [DatabaseFact]
    public async Task A_changed_limit_is_one_more_event_and_the_latest_holds()
    {
        using var farm = new SmallFarm("narrowed");
        farm.Write(With(farm, "0.3"), SmallFarm.FieldsText);
        await web.Import.ImportAsync(farm.Path, default);

        farm.Write(With(farm, "2.5"), SmallFarm.FieldsText);
        var changed = await web.Import.ImportAsync(farm.Path, default);

        Assert.Equal((1, 12), (changed.Recorded, changed.Unchanged));
        var configuration = (await web.Configurations.ReadAsync("narrowed", null, default)).Configuration;
        Assert.Equal(2500, Assert.Single(configuration.Limits("drag-line", AtNoon)!.Limits).Min);
    }

    private static string With(SmallFarm farm, string min) =>
        farm.FarmText.Replace(
            "\"plans\":",
            $$"""
            "limits": [
              { "from": "2025-10-01T00:00:00Z", "defaults": "liquidManure" },
              {
                "applicator": "drag-line", "from": "2025-10-01T00:00:00Z",
                "given": [{ "of": "totalNitrogen", "min": {{min}}, "mark": "own samples" }]
              }
            ],
            "plans":
            """,
            StringComparison.Ordinal
        );
}
