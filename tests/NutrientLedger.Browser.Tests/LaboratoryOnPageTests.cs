using Microsoft.Playwright;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Browser.Tests;

/// <summary>
/// A person compares the sensor with the laboratory on the page, previews a calibration, adopts it and withdraws it.
/// The sensor read 4 kg/m³ of nitrogen; the laboratory found 4.4, so 0.4 × 8.3454 = 3.34 lb in 1000 gallons are
/// missing.
/// </summary>
public class LaboratoryOnPageTests(WebTestHost web, OpenBrowser browser)
    : IClassFixture<WebTestHost>,
        IClassFixture<OpenBrowser>
{
    private const string East = "article:has(h3#field-east)";
    private const string Nitrogen = $"{East} [data-slot=spreadTotal] >> nth=0";

    [BrowserFact]
    public async Task A_calibration_is_suggested_previewed_adopted_stated_and_withdrawn_on_the_page()
    {
        await SampledFarm.BeginAsync(web, "beside");
        await using var watched = await OpenAsync("beside");
        var page = watched.Page;
        await watched.ShowsAsync("#laboratory tbody tr >> nth=0", "36.72");
        await watched.ShowsAsync("#laboratory tbody tr >> nth=0", "33.38");
        await watched.ShowsAsync("#laboratory tbody tr >> nth=0", "+3.34");
        await watched.ShowsAsync(
            "#laboratory .facts",
            "the sensor reads 3.34\u00a0lb/1,000\u00a0US\u00a0gal less than the laboratory"
        );
        await watched.ShowsAsync(
            "#laboratory .facts",
            "reading + 3.34\u00a0lb/1,000\u00a0US\u00a0gal (standard errors: intercept ±0.05\u00a0lb/1,000\u00a0US\u00a0gal)"
        );
        await watched.ShowsAsync("#laboratory .facts", "3 pairs on 3 days: the bias is tested at 5 %.");
        await watched.ShowsAsync("#laboratory .warnings", "A slope needs 10 pairs on 5 days");
        await Assertions.Expect(page.Locator(".scatter circle")).ToHaveCountAsync(3);
        Assert.Contains("laboratory against sensor", await page.Locator(".scatter").GetAttributeAsync("aria-label"));
        await watched.ShowsAsync("#statements-heading + p", "No corrections yet");

        var adopt = page.Locator("#lab-adopt");
        await Assertions.Expect(adopt.GetByRole(AriaRole.Button, new() { Name = "Adopt" })).ToBeDisabledAsync();
        await adopt.GetByRole(AriaRole.Button, new() { Name = "Preview changes" }).ClickAsync();
        await watched.ShowsAsync("#lab-adopt table", "East, 2026");
        await watched.ShowsAsync("#lab-adopt table", "Total N");
        await watched.ShowsAsync("#lab-adopt table", "+26\u00a0lb");
        await watched.ShowsAsync(Nitrogen, "265\u00a0lb");

        await adopt.GetByLabel("Who decides").FillAsync("Ada Ash");
        await adopt.GetByLabel("Reason").FillAsync("The laboratory finds more");
        await adopt.GetByRole(AriaRole.Button, new() { Name = "Adopt" }).ClickAsync();
        await watched.ShowsAsync("#lab-done", "Adopted.");
        await watched.ShowsAsync(Nitrogen, "291\u00a0lb");
        await watched.ShowsAsync("#calibrations", "Adopted by Ada Ash");
        // A calibration in force is not suggested again.
        await Assertions.Expect(page.Locator("#lab-in-force")).ToBeVisibleAsync();
        await Assertions.Expect(adopt).ToBeHiddenAsync();
        await watched.ShowsAsync("#statements li >> nth=0", "Ada Ash: The laboratory finds more");
        var link = await page.Locator("#statements a").First.GetAttributeAsync("href");
        var printed = await web.Client.GetStringAsync(link);
        Assert.Contains("What a correction changed", printed, StringComparison.Ordinal);
        await watched.PictureAsync("laboratory");

        await page.Locator("#calibrations summary").ClickAsync();
        var withdraw = page.Locator("#calibrations form");
        await withdraw.GetByRole(AriaRole.Button, new() { Name = "Preview changes" }).ClickAsync();
        await watched.ShowsAsync("#calibrations table", "−26\u00a0lb");
        await withdraw.GetByLabel("Who decides").FillAsync("Ada Ash");
        await withdraw.GetByLabel("Reason").FillAsync("The sample was mixed up");
        await withdraw.GetByRole(AriaRole.Button, new() { Name = "Withdraw" }).ClickAsync();
        await watched.ShowsAsync(Nitrogen, "265\u00a0lb");
        await watched.ShowsAsync("#calibrations", "Withdrawn by Ada Ash: The sample was mixed up");
        await watched.ShowsAsync("#statements li >> nth=0", "The sample was mixed up");
        // A new suggestion gets a new id, because an id is used only once.
        await adopt.GetByRole(AriaRole.Button, new() { Name = "Preview changes" }).ClickAsync();
        await watched.ShowsAsync("#lab-adopt table", "+26\u00a0lb");
        Assert.Empty(watched.Complaints);
    }

    [BrowserFact]
    public async Task A_calibration_may_end_on_a_day_and_its_preview_follows()
    {
        await SampledFarm.BeginAsync(web, "ending");
        await using var watched = await OpenAsync("ending");
        var adopt = watched.Page.Locator("#lab-adopt");
        var look = adopt.GetByRole(AriaRole.Button, new() { Name = "Preview changes" });
        await look.ClickAsync();
        await watched.ShowsAsync("#lab-adopt table", "+26\u00a0lb");

        // 22 April begins after all spreading, so the change is the same. The 21st is before the calibration begins.
        await adopt.GetByLabel("Valid until").FillAsync("2026-04-22");
        await Assertions.Expect(adopt.Locator("table")).ToHaveCountAsync(0);
        await look.ClickAsync();
        await watched.ShowsAsync("#lab-adopt table", "+26\u00a0lb");
        await adopt.GetByLabel("Valid until").FillAsync("2026-04-21");
        await look.ClickAsync();
        await watched.ShowsAsync("#lab-adopt .error", "write a time after validFrom");
        await Assertions.Expect(adopt.GetByRole(AriaRole.Button, new() { Name = "Adopt" })).ToBeDisabledAsync();
    }

    [BrowserFact]
    public async Task Metric_units_reach_the_pairs_and_everything_works_by_keyboard_on_a_phone()
    {
        await SampledFarm.BeginAsync(web, "narrow");
        await using var watched = await browser.OpenAsync(Address("narrow"), width: 400);
        var page = watched.Page;
        await page.GetByLabel("Metric").CheckAsync();
        await watched.ShowsAsync("#laboratory thead", "Laboratory, kg/m³");
        await watched.ShowsAsync("#laboratory tbody tr >> nth=0", "4.40");
        Assert.Equal(400, await page.EvaluateAsync<int>("document.documentElement.scrollWidth"));

        await page.Locator("#lab-adopt button").First.FocusAsync();
        await page.Keyboard.PressAsync("Enter");
        await watched.ShowsAsync("#lab-adopt table", "+12\u00a0kg");
        // A table wider than the phone takes the focus in tab order, so that its arrow keys scroll it.
        var who = page.Locator("#lab-adopt").GetByLabel("Who decides");
        for (var steps = 0; steps < 3 && !await who.EvaluateAsync<bool>("it => it === document.activeElement"); steps++)
            await page.Keyboard.PressAsync("Tab");
        await page.Keyboard.TypeAsync("Ada Ash");
        await page.Keyboard.PressAsync("Enter");
        await watched.ShowsAsync("#calibrations", "Adopted by Ada Ash");
        await watched.PictureAsync("laboratory-narrow");
        Assert.Empty(watched.Complaints);
    }

    [BrowserFact]
    public async Task Without_reports_the_page_says_how_they_come_in()
    {
        using var farm = new SmallFarm("unsampled");
        await web.Import.ImportAsync(farm.Path, default);
        await using var watched = await OpenAsync("unsampled");
        await watched.ShowsAsync("#lab-none", "import lab");
        await Assertions.Expect(watched.Page.Locator("#lab-choices")).ToBeHiddenAsync();
        Assert.Empty(watched.Complaints);
    }

    [BrowserFact]
    public async Task A_balance_that_is_being_corrected_is_marked_until_it_is()
    {
        await SampledFarm.BeginAsync(web, "marked");
        await using var watched = await OpenAsync("marked");
        await watched.ShowsAsync(Nitrogen, "265\u00a0lb");
        var correcting = watched.Page.Locator($"{East} .correcting");
        await Assertions.Expect(correcting).ToBeHiddenAsync();
        await using (await Phase.HoldAsync(web.Database.ConnectionString, Phase.ShadowTiles))
        {
            using var body = new StringContent(
                """
                { "equipment": "drag-line", "stream": "spread", "boot": 1, "firstSeq": 30, "lastSeq": 31, "part": "reading",
                  "reason": "The hose was off", "by": "Ada Ash" }
                """,
                null,
                "application/json"
            );
            using var answer = await web.Client.PostAsync("/api/farms/marked/voids", body);
            Assert.True(answer.IsSuccessStatusCode, await answer.Content.ReadAsStringAsync());
            await watched.ShowsAsync($"{East} .correcting", "Correction in progress");
            await Assertions.Expect(watched.Page.Locator(".correcting:not([hidden])")).ToHaveCountAsync(2);
        }
        await Assertions.Expect(correcting).ToBeHiddenAsync();
    }

    [BrowserFact]
    public async Task Dry_matter_of_a_field_fed_by_two_pits_is_shown_for_each_of_them()
    {
        using var farm = new SmallFarm("two-pits");
        await web.Import.ImportAsync(farm.Path, default);
        await using var watched = await browser.OpenAsync(Address("two-pits"));
        var shown = await watched.Page.EvaluateAsync<string>(
            """
            async () => {
              const { changeTable } = await import("/page/changes.js");
              const names = { field: () => "East", pit: (pit) => `Pit ${pit}` };
              const amounts = { totalNitrogenKilograms: 1, ammoniumNitrogenKilograms: 1, p2o5Kilograms: 1, k2oKilograms: 1 };
              const of = (pit, before, after) => ({
                field: "east", season: 2026, pit, flaggedShareBefore: 0, flaggedShareAfter: 0,
                before: { ...amounts, dryMatterFraction: before }, after: { ...amounts, dryMatterFraction: after },
              });
              const rows = [...changeTable([of("a", 0.04, 0.05), of("b", 0.06, 0.055)], names).querySelectorAll("tbody tr")];
              const none = changeTable([], names).textContent;
              return [...rows.map((row) => [...row.children].map((cell) => cell.textContent).join(" | ")), none].join("\n");
            }
            """
        );
        Assert.Equal(
            "East, 2026, from Pit a | Dry matter | 4.00 % | 5.00 % | +1.00 %\n"
                + "East, 2026, from Pit b | Dry matter | 6.00 % | 5.50 % | −0.50 %\n"
                + "Nothing would change.",
            shown.Replace('\u00a0', ' ')
        );
    }

    private Task<WatchedPage> OpenAsync(string farm) => browser.OpenAsync(Address(farm));

    private Uri Address(string farm) => new(web.Client.BaseAddress!, $"/?farm={farm}");
}
