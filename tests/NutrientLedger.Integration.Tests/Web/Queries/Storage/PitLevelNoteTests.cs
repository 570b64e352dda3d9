using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Web.Queries.Storage;

public sealed class PitLevelNoteTests(WebTestHost web) : IClassFixture<WebTestHost>
{
    [DatabaseFact]
    public async Task A_level_outside_the_shape_is_noted_although_the_newest_hour_is_sound()
    {
        using var farm = new SmallFarm("noted");
        await web.Import.ImportAsync(farm.Path, default);
        await web.PostAsync(farm.Level(1, 60_000));
        await web.PostAsync(farm.Level(200, 3_100));

        var pit = (await web.Client.AskAsync("/api/farms/noted/pits")).GetProperty("pits")[0];

        Assert.Equal(3.1, pit.Number("levelMetres"), 1e-9);
        Assert.StartsWith("In 1 of 2 hours a level lay outside", pit.Text("note"), StringComparison.Ordinal);
    }
}
