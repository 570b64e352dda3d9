using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Web.Contracts.Farms;

namespace NutrientLedger.Integration.Tests.Web.Commands;

public class FarmImportTests(WebTestHost web) : IClassFixture<WebTestHost>
{
    [DatabaseFact]
    public async Task A_farm_file_becomes_configuration_events_and_importing_it_again_adds_nothing()
    {
        using var farm = new SmallFarm("twice");

        Assert.Equal((11, 0), Counted(await ImportAsync(farm)));
        Assert.Equal((0, 11), Counted(await ImportAsync(farm)));

        var configuration = (await web.Configurations.ReadAsync("twice", null, default)).Configuration;
        Assert.Equal("Small Farm", configuration.Farm!.Name);
        Assert.Equal(["east", "west"], configuration.Fields.Select(field => field.FieldId));
        Assert.Equal(160_000, configuration.Plan("east", 2026)!.NitrogenGramsPerHectare);
    }

    [DatabaseFact]
    public async Task Metres_become_whole_millimetres_half_away_from_zero()
    {
        using var farm = new SmallFarm("rounded");
        await ImportAsync(farm);

        var configuration = (await web.Configurations.ReadAsync("rounded", null, default)).Configuration;
        Assert.Equal(12_001, configuration.Applicator("drag-line")!.WorkingWidthMillimetres);
    }

    [DatabaseFact]
    public async Task A_grid_missing_in_the_file_is_placed_at_the_first_field_and_stays()
    {
        using var farm = new SmallFarm("grid");
        var without = farm.FarmText.Replace(
            """
            "2025-10-01",
                "coverageStep": { "latitudeE7": 90, "longitudeE7": 124 }
            """,
            "\"2025-10-01\"",
            StringComparison.Ordinal
        );
        farm.Write(without, SmallFarm.FieldsText);

        Assert.Equal((11, 0), Counted(await ImportAsync(farm)));
        Assert.Equal((0, 11), Counted(await ImportAsync(farm)));
        var grid = (await web.Configurations.ReadAsync("grid", null, default)).Configuration.Farm!.Grid;
        Assert.Equal((90, 124), (grid.StepLatitudeE7, grid.StepLongitudeE7));
    }

    [DatabaseFact]
    public async Task A_changed_plan_pit_or_applicator_is_one_more_event_and_the_latest_wins()
    {
        using var farm = new SmallFarm("changed");
        await ImportAsync(farm);
        var changed = farm
            .FarmText.Replace("160", "150", StringComparison.Ordinal)
            .Replace("4.5", "4.4", StringComparison.Ordinal)
            .Replace("\"Drag line\"", "\"Long hose\"", StringComparison.Ordinal);

        farm.Write(changed, SmallFarm.FieldsText);
        Assert.Equal((3, 8), Counted(await ImportAsync(farm)));
        var configuration = await web.Configurations.ReadAsync("changed", null, default);
        Assert.Equal(150_000, configuration.Configuration.Plan("east", 2026)!.NitrogenGramsPerHectare);
        Assert.Equal(4_400, configuration.Configuration.Pit("tank")!.FullDepthMillimetres);
        Assert.Equal("Long hose", configuration.Configuration.Applicator("drag-line")!.Name);

        farm.Write(farm.FarmText, SmallFarm.FieldsText);
        Assert.Equal((3, 8), Counted(await ImportAsync(farm)));
        Assert.Equal(2, configuration.Events.Count(recorded => recorded.Event is PitRegistered));
        Assert.Equal(2, configuration.Events.Count(recorded => recorded.Event is ApplicatorRegistered));
    }

    [DatabaseFact]
    public async Task A_redrawn_boundary_needs_a_reason_and_is_then_recorded_once()
    {
        using var farm = new SmallFarm("redrawn");
        await ImportAsync(farm);
        var redrawn = SmallFarm.FieldsText.Replace("-91.012", "-91.0125", StringComparison.Ordinal);

        farm.Write(farm.FarmText, redrawn);
        var rejected = await ImportAsync(farm);
        var problem = Assert.Single(rejected.Problems);
        Assert.Equal(("fields.geojson", 4), (problem.File, problem.Line));
        Assert.Contains("changeReason", problem.Problem, StringComparison.Ordinal);
        Assert.Equal(11, (await web.Configurations.ReadAsync("redrawn", null, default)).Events.Count);

        farm.Write(
            farm.FarmText,
            redrawn.Replace(
                "\"East\"",
                "\"East\", \"validFrom\": \"2026-03-01\", \"changeReason\": \"fence moved\"",
                StringComparison.Ordinal
            )
        );
        Assert.Equal((1, 10), Counted(await ImportAsync(farm)));
        Assert.Equal((0, 11), Counted(await ImportAsync(farm)));
        var @event = (await web.Configurations.ReadAsync("redrawn", null, default)).Events[^1].Event;
        Assert.Equal("fence moved", Assert.IsType<BoundaryRedrawn>(@event).Reason);
    }

    [DatabaseFact]
    public async Task A_field_may_be_given_another_name()
    {
        using var farm = new SmallFarm("renamed");
        await ImportAsync(farm);
        farm.Write(farm.FarmText, SmallFarm.FieldsText.Replace("\"East\"", "\"Sunrise\"", StringComparison.Ordinal));

        Assert.Equal((1, 10), Counted(await ImportAsync(farm)));
        Assert.Equal((0, 11), Counted(await ImportAsync(farm)));
        Assert.Equal(
            "Sunrise",
            (await web.Configurations.ReadAsync("renamed", null, default)).Configuration.Field("east")!.Name
        );
    }

    [DatabaseFact]
    public async Task The_farms_time_zone_cannot_be_changed_by_an_import()
    {
        using var farm = new SmallFarm("rests");
        await ImportAsync(farm);
        farm.Write(farm.FarmText.Replace("Chicago", "Denver", StringComparison.Ordinal), SmallFarm.FieldsText);

        var problem = Assert.Single((await ImportAsync(farm)).Problems);
        Assert.Equal(("farm.json", 2), (problem.File, problem.Line));
        Assert.Contains("America/Chicago", problem.Problem, StringComparison.Ordinal);
    }

    private async Task<ImportOutcome> ImportAsync(SmallFarm farm)
    {
        var outcome = await web.Import.ImportAsync(farm.Path, default);
        Assert.True(
            outcome.Problems.Count == 0 || outcome.Recorded == 0,
            "Nothing may be recorded from a file with problems."
        );
        return outcome;
    }

    private static (int Recorded, int Unchanged) Counted(ImportOutcome outcome)
    {
        Assert.Empty(outcome.Problems);
        return (outcome.Recorded, outcome.Unchanged);
    }
}
