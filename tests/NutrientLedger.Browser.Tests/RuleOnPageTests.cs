using Microsoft.Playwright;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Integration.Tests.Web;

namespace NutrientLedger.Browser.Tests;

/// <summary>What the farm's own rule adopts, and which conditions are missing, on the page.</summary>
public class RuleOnPageTests(WebTestHost web, OpenBrowser browser)
    : IClassFixture<WebTestHost>,
        IClassFixture<OpenBrowser>
{
    private const string Rule =
        """{ "sensor": "nir", "analyte": "totalNitrogen", "state": "on", "pairsMin": 10, "standardErrorMax": 0.3 }""";

    [BrowserFact]
    public async Task Of_two_adoptions_under_one_id_only_the_one_in_force_can_be_withdrawn()
    {
        await SteppedFarm.BeginAsync(web, "ruled-page", Rule, "onApplicator");
        await ReportAsync("ruled-page", 1, 9);
        await using var watched = await browser.OpenAsync(new(web.Client.BaseAddress!, "/?farm=ruled-page"));
        // The rule allows 0.3 kg/m³, and 1 kg/m³ is 8.3454 lb/1,000 US gal.
        await watched.ShowsAsync(
            "#lab-pairs [data-slot=rule]",
            "The farm's rule is on: it adopts the suggestion when a report arrives. "
                + "It needs 10 pairs and a standard error up to ±2.50\u00a0lb/1,000\u00a0US\u00a0gal. "
                + "Missing: 9 pairs so far; the rule needs 10."
        );
        Assert.NotNull((await ReportAsync("ruled-page", 10, 10)).AdoptedByRule);
        await Assertions.Expect(watched.Page.Locator("#calibrations > li")).ToHaveCountAsync(1);
        Assert.NotNull((await ReportAsync("ruled-page", 11, 11)).AdoptedByRule);

        var events = watched.Page.Locator("#calibrations > li");
        await Assertions.Expect(events).ToHaveCountAsync(2);
        await watched.ShowsAsync("#calibrations > li >> nth=1", "Replaced ");
        await Assertions.Expect(events.Nth(1).Locator("details")).ToBeHiddenAsync();
        await Assertions.Expect(events.Nth(0).Locator("[data-slot=ended]")).ToBeHiddenAsync();
        await watched.ShowsAsync("#lab-in-force", "The suggestion is in force");

        await events.Nth(0).Locator("summary").ClickAsync();
        var withdraw = events.Nth(0).Locator("form");
        await withdraw.GetByRole(AriaRole.Button, new() { Name = "Preview changes" }).ClickAsync();
        await watched.ShowsAsync("#calibrations table", "Total N");
        await withdraw.GetByLabel("Who decides").FillAsync("Ada Ash");
        await withdraw.GetByLabel("Reason").FillAsync("The samples were mixed up");
        await withdraw.GetByRole(AriaRole.Button, new() { Name = "Withdraw" }).ClickAsync();
        await watched.ShowsAsync("#calibrations > li >> nth=0", "Withdrawn by Ada Ash: The samples were mixed up");
        await watched.ShowsAsync("#calibrations > li >> nth=1", "Replaced ");
        await watched.ShowsAsync("#lab-pairs [data-slot=rule]", "since the last adoption or withdrawal");
        Assert.Empty(watched.Complaints);
    }

    private Task<NutrientLedger.Web.Contracts.Farms.ImportOutcome> ReportAsync(string farm, int first, int last) =>
        SteppedFarm.ReportAsync(web, farm, first, last, SteppedFarm.Found, applicator: null);
}
