using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Browser.Tests;

/// <summary>
/// The days of a pit on the page: whether each closes, the unexplained volume, and the measurements. The invented tank
/// is round, 20 m wide; 60 mm of it are 18.850 m³ or 4,980 US gallons (231 cubic inches each).
/// </summary>
public class PitDaysOnPageTests(WebTestHost web, OpenBrowser browser)
    : IClassFixture<WebTestHost>,
        IClassFixture<OpenBrowser>
{
    private const string Day = "#days li:has(details)";

    [BrowserFact]
    public async Task A_day_is_listed_with_its_result_and_opens_to_its_sum_and_measurements()
    {
        await WorkAsync("closing", loads: 2);
        await using var watched = await OpenAsync("closing");
        var page = watched.Page;
        await watched.ShowsAsync(Day, "Apr 21, 2026");
        await watched.ShowsAsync($"{Day} .verdict", "closes");
        // 18.850 m³ less two loads of 9.5 m³ and 0.29 m³ by meter.
        await watched.ShowsAsync(Day, "77\u00a0US\u00a0gal metered, -116\u00a0US\u00a0gal unexplained");
        await watched.ShowsAsync(
            "#days .quiet",
            "Oct 1, 2025 to Apr 20, 2026: nothing pumped, not enough measurements"
        );
        await watched.ShowsAsync("#days .caution", "Manure gas kills. A pit is a confined space");
        await watched.ShowsAsync("#days .facts", "1 close");

        await page.Locator($"{Day} summary").FocusAsync();
        await page.Keyboard.PressAsync("Enter");
        await watched.ShowsAsync($"{Day} tr:has-text('drawn (meter)')", "77\u00a0US\u00a0gal");
        await watched.ShowsAsync($"{Day} tr:has-text('= unexplained')", "-116\u00a0US\u00a0gal");
        await watched.ShowsAsync($"{Day} tr:has-text('the level sensor') >> nth=0", "4,980");
        await watched.ShowsAsync($"{Day} tr:has-text('the flow meter of drag-line')", "within chance");
        await watched.ShowsAsync($"{Day} tr:has-text('the flow meter of drag-line')", "electromagnetic meters");
        var link = await page.Locator($"{Day} a").GetAttributeAsync("href");
        var printed = await web.Client.GetStringAsync(link);
        Assert.Contains("Did everything pumped reach the fields?", printed, StringComparison.Ordinal);

        await page.GetByLabel("Metric").CheckAsync();
        await watched.ShowsAsync($"{Day} tr:has-text('= unexplained')", "-0.4\u00a0m³");
        await watched.PictureAsync("pit-days");
        Assert.Empty(watched.Complaints);
    }

    [BrowserFact]
    public async Task A_day_that_is_not_over_is_not_called_one_that_does_not_close()
    {
        // Twenty loads are recorded for the day; the level has fallen by the first two only.
        await WorkAsync("running", loads: 20);
        web.FarmTime = new(2026, 4, 21, 23, 0, 0, TimeSpan.Zero);
        await using var watched = await OpenAsync("running", width: 400);
        await watched.ShowsAsync($"{Day} .verdict", "not over yet");
        await watched.ShowsAsync(Day, "Not over yet");
        await watched.ShowsAsync("#days .facts", "1 not over yet");

        web.FarmTime = new(2026, 4, 22, 6, 0, 0, TimeSpan.Zero);
        using var farm = new SmallFarm("running");
        await web.PostAsync(farm.Spreading(31, 30));
        await watched.ShowsAsync($"{Day} .verdict", "does not close");
        // The hub sends cubic metres; the page shows its own units.
        await watched.ShowsAsync($"{Day} .finding", "gal");
        Assert.DoesNotContain("m³", await watched.Page.Locator(Day).InnerTextAsync(), StringComparison.Ordinal);
        Assert.Equal(400, await watched.Page.EvaluateAsync<int>("document.documentElement.scrollWidth"));
        Assert.Empty(watched.Complaints);
    }

    [BrowserFact]
    public async Task A_day_is_over_by_the_farms_clock_without_new_messages()
    {
        await WorkAsync("quiet-evening", loads: 20);
        web.FarmTime = new(2026, 4, 21, 23, 0, 0, TimeSpan.Zero);
        await using var watched = await OpenAsync("quiet-evening");
        await watched.ShowsAsync($"{Day} .verdict", "not over yet");

        web.FarmTime = new(2026, 4, 22, 6, 0, 0, TimeSpan.Zero);
        await watched.Page.Clock.InstallAsync();
        await watched.Page.Clock.FastForwardAsync(120_000);
        await watched.ShowsAsync($"{Day} .verdict", "does not close");
    }

    [BrowserFact]
    public async Task After_a_correction_the_days_and_an_open_statement_are_as_it_left_them()
    {
        await WorkAsync("corrected-days", loads: 2);
        await using var watched = await OpenAsync("corrected-days");
        var page = watched.Page;
        await watched.ShowsAsync(Day, "77\u00a0US\u00a0gal metered");
        await page.Locator($"{Day} summary").ClickAsync();
        await watched.ShowsAsync($"{Day} tr:has-text('drawn (meter)')", "77\u00a0US\u00a0gal");
        await using (await Phase.HoldAsync(web.Database.ConnectionString, Phase.ShadowTiles))
            // The page queries while the correction is under way and gets the values before it.
            await page.RunAndWaitForResponseAsync(
                async () =>
                {
                    using var body = new StringContent(
                        """
                        { "equipment": "drag-line", "stream": "spread", "boot": 1, "firstSeq": 20, "lastSeq": 30, "part": "reading",
                          "reason": "The hose was off", "by": "Ada Ash" }
                        """,
                        null,
                        "application/json"
                    );
                    using var answer = await web.Client.PostAsync("/api/farms/corrected-days/voids", body);
                    Assert.True(answer.IsSuccessStatusCode, await answer.Content.ReadAsStringAsync());
                },
                response => response.Url.Contains("/reconciliations", StringComparison.Ordinal)
            );
        // 18 of the 29 intervals of 10 L are left: 0.18 m³ or 47.6 gallons.
        await watched.ShowsAsync(Day, "48\u00a0US\u00a0gal metered");
        await watched.ShowsAsync($"{Day} tr:has-text('drawn (meter)')", "48\u00a0US\u00a0gal");
        Assert.Empty(watched.Complaints);
    }

    /// <summary>Loads by hand, 0.29 m³ by meter, and a level that falls by 60 mm.</summary>
    private async Task WorkAsync(string id, int loads)
    {
        web.FarmTime = null;
        using var farm = new SmallFarm(id);
        await web.Import.ImportAsync(farm.Path, default);
        using var records = new StringContent(
            $$"""
            { "farm": "{{id}}", "records": [
              { "kind": "loads", "by": "R. Field", "at": "2026-04-21T10:00:00-05:00", "pit": "tank", "loads": {{loads}},
                "fillVolumeCubicMetres": 10, "shareFilled": 0.95 },
              { "kind": "setRate", "by": "R. Field", "applicator": "drag-line", "cubicMetresPerHectare": 4.17, "from": "2026-04-01T00:00:00-05:00" }
            ] }
            """,
            null,
            "application/json"
        );
        using var answer = await web.Client.PostAsync($"/api/farms/{id}/records", records);
        Assert.True(answer.IsSuccessStatusCode, await answer.Content.ReadAsStringAsync());
        await web.PostAsync(farm.Spreading(1, 30));
        await web.PostAsync(farm.Level(1, 3_100));
        await web.PostAsync(farm.Level(200, 3_040));
    }

    private async Task<WatchedPage> OpenAsync(string farm, int width = 1280)
    {
        var watched = await browser.OpenAsync(new(web.Client.BaseAddress!, $"/?farm={farm}"), width);
        // The days are requested only when somebody looks at them.
        await watched.ShowsAsync("#days-heading", "reach the fields");
        await watched.Page.Locator("#days-heading").ScrollIntoViewIfNeededAsync();
        return watched;
    }
}
