using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Browser.Tests;

public class EmptyPageTests(WebTestHost web, OpenBrowser browser)
    : IClassFixture<WebTestHost>,
        IClassFixture<OpenBrowser>
{
    [BrowserFact]
    public async Task Without_a_farm_the_page_says_how_to_import_one_and_fills_by_itself()
    {
        await using var watched = await browser.OpenAsync(web.Client.BaseAddress!);
        await watched.ShowsAsync("#empty", "import farm");
        await watched.PictureAsync("empty");

        using var farm = new SmallFarm("late");
        await web.Import.ImportAsync(farm.Path, default);

        await watched.ShowsAsync("h1", "Small Farm");
        Assert.False(await watched.Page.Locator("#empty").IsVisibleAsync());
        Assert.Empty(watched.Complaints);
    }
}
