using Microsoft.Playwright;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Browser.Tests;

public class LivePageTests(WebTestHost web, OpenBrowser browser)
    : IClassFixture<WebTestHost>,
        IClassFixture<OpenBrowser>
{
    private const string East = "article:has(h3#field-east)";

    [BrowserFact]
    public async Task A_field_fills_while_batches_arrive_and_the_browser_reports_no_errors()
    {
        using var farm = new SmallFarm("filling");
        await web.Import.ImportAsync(farm.Path, default);
        await using var watched = await OpenAsync("filling");

        await watched.ShowsAsync("h1", "Small Farm");
        await watched.ShowsAsync($"{East} .facts", "none yet");
        await web.PostAsync(farm.Spreading(1, 31));
        // 0.3 m³ are 79.25 US gallons; 1.2 kg N are 2.6 lb.
        await watched.ShowsAsync($"{East} .facts", "79\u00a0US\u00a0gal");
        await watched.ShowsAsync($"{East} [data-slot=spreadTotal] >> nth=0", "3\u00a0lb");
        await watched.ShowsAsync($"{East} .moving", "Readings are arriving");
        await web.PostAsync(farm.Level(1, 3_100));
        await watched.ShowsAsync("article:has(h3#pit-tank) .facts", "10.2\u00a0ft");
        await web.PostAsync(farm.Spreading(32, 30));
        await watched.ShowsAsync($"{East} .facts", "159\u00a0US\u00a0gal");

        await watched.ShowsAsync("#status", "Live.");
        await watched.ShowsAsync("#devices", "drag-line (spreading)");
        Assert.Empty(watched.Complaints);
        Assert.True(new FileInfo(await watched.PictureAsync("wide-light")).Length > 20_000);
    }

    [BrowserFact]
    public async Task More_than_the_plan_allows_is_written_and_shown_beyond_the_bar()
    {
        using var farm = new SmallFarm("over");
        farm.Write(
            farm.FarmText.Replace(
                "\"p2o5KilogramsPerHectare\": 1,",
                "\"p2o5KilogramsPerHectare\": 0.1,",
                StringComparison.Ordinal
            ),
            SmallFarm.FieldsText
        );
        await web.Import.ImportAsync(farm.Path, default);
        await web.PostAsync(farm.Spreading(1, 60));
        await using var watched = await OpenAsync("over");

        await watched.ShowsAsync($"{East} .is-over", "OVER by");
        await watched.ShowsAsync("#look-list", "East: phosphate is over the plan by");
        var meter = watched.Page.Locator($"{East} [role=meter][data-over=yes]");
        await Assertions.Expect(meter).ToHaveCountAsync(1);
        Assert.Contains("OVER by", await meter.GetAttributeAsync("aria-valuetext"), StringComparison.Ordinal);
        await Assertions.Expect(meter.Locator(".over")).ToBeVisibleAsync();
    }

    [BrowserFact]
    public async Task What_ran_while_readings_are_missing_is_shown_until_they_arrive()
    {
        using var farm = new SmallFarm("missing");
        await web.Import.ImportAsync(farm.Path, default);
        await web.PostAsync(farm.Spreading(1, 10));
        await web.PostAsync(farm.Spreading(31, 10));
        await using var watched = await OpenAsync("missing");

        // 210 L are 55.5 US gallons.
        await watched.ShowsAsync("#elsewhere", "Metered between readings, not placed55\u00a0US\u00a0gal");
        await watched.ShowsAsync("article:has(h3#pit-tank) .facts", "Metered between readings, not placed55");
        await web.PostAsync(farm.Spreading(11, 20));
        await watched.ShowsAsync("#elsewhere", "Metered between readings, not placed0\u00a0US\u00a0gal");
        Assert.Empty(watched.Complaints);
    }

    [BrowserFact]
    public async Task Metric_units_are_one_choice_away_and_remembered()
    {
        using var farm = new SmallFarm("metric");
        await web.Import.ImportAsync(farm.Path, default);
        await web.PostAsync(farm.Spreading(1, 31));
        await using var watched = await OpenAsync("metric");
        await watched.ShowsAsync($"{East} .facts", "79\u00a0US\u00a0gal");

        await watched.Page.GetByLabel("Metric").CheckAsync();
        await watched.ShowsAsync($"{East} .facts", "0.3\u00a0m³");
        await watched.ShowsAsync($"{East} .meta", "3.6");
        await watched.Page.ReloadAsync();
        await watched.ShowsAsync($"{East} .facts", "0.3\u00a0m³");
    }

    [BrowserFact]
    public async Task An_earlier_season_is_one_choice_away()
    {
        using var farm = new SmallFarm("seasons");
        const string west = "\"season\": 2026, \"nitrogenBasis\": \"available\"";
        farm.Write(
            farm.FarmText.Replace(
                west,
                west.Replace("2026", "2027", StringComparison.Ordinal),
                StringComparison.Ordinal
            ),
            SmallFarm.FieldsText
        );
        await web.Import.ImportAsync(farm.Path, default);
        await web.PostAsync(farm.Spreading(1, 31));
        await using var watched = await OpenAsync("seasons");

        await watched.ShowsAsync($"{East} .meta", "no plan this season");
        await watched.Page.GetByLabel("Season").SelectOptionAsync("2026");
        await watched.ShowsAsync($"{East} .meta", "oats");
        await watched.ShowsAsync($"{East} .facts", "79\u00a0US\u00a0gal");
    }

    [BrowserFact]
    public async Task An_open_page_survives_a_restart_of_the_hub_without_being_loaded_again()
    {
        using var farm = new SmallFarm("restarted");
        await web.Import.ImportAsync(farm.Path, default);
        await web.PostAsync(farm.Spreading(1, 31));
        // A port that nobody else gets while Web is down.
        await web.StopAsync();
        var port = QuietPort.Take();
        await web.StartAsync(port);
        await using var watched = await OpenAsync("restarted");
        await watched.ShowsAsync($"{East} .facts", "79\u00a0US\u00a0gal");
        await watched.Page.EvaluateAsync("window.stillTheSamePage = true");

        await web.StopAsync();
        await watched.ShowsAsync("#status", "Connection lost. Values from");
        await watched.ShowsAsync($"{East} .facts", "79\u00a0US\u00a0gal");

        await web.StartAsync(port);
        await web.PostAsync(farm.Spreading(32, 30));
        await watched.ShowsAsync($"{East} .facts", "159\u00a0US\u00a0gal");
        await watched.ShowsAsync("#status", "Live.");
        Assert.True(await watched.Page.EvaluateAsync<bool>("window.stillTheSamePage"));
    }

    [BrowserFact]
    public async Task The_page_fits_a_phone_in_dark_mode()
    {
        using var farm = new SmallFarm("narrow");
        await web.Import.ImportAsync(farm.Path, default);
        await web.PostAsync(farm.Spreading(1, 31));
        await using var watched = await browser.OpenAsync(Address("narrow"), width: 360, ColorScheme.Dark);
        await watched.ShowsAsync($"{East} .facts", "79\u00a0US\u00a0gal");

        Assert.Equal(360, await watched.Page.EvaluateAsync<int>("document.documentElement.scrollWidth"));
        Assert.True(new FileInfo(await watched.PictureAsync("narrow-dark")).Length > 10_000);
    }

    private Task<WatchedPage> OpenAsync(string farm) => browser.OpenAsync(Address(farm));

    private Uri Address(string farm) => new(web.Client.BaseAddress!, $"/?farm={farm}");
}
