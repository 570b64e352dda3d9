using Microsoft.Playwright;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Browser.Tests;

/// <summary>A response to a query that has since changed is ignored, for another day as for another farm.</summary>
public class LateAnswerTests(WebTestHost web, OpenBrowser browser)
    : IClassFixture<WebTestHost>,
        IClassFixture<OpenBrowser>
{
    [BrowserFact]
    public async Task A_preview_that_comes_after_the_day_was_changed_lets_nobody_adopt()
    {
        await SampledFarm.BeginAsync(web, "late-day");
        await using var watched = await browser.OpenAsync(Address("late-day"));
        var goOn = new TaskCompletionSource();
        var answered = new TaskCompletionSource();
        await watched.Page.RouteAsync(
            "**/calibrations/preview",
            async route =>
            {
                await goOn.Task;
                await route.ContinueAsync();
            }
        );
        watched.Page.RequestFinished += (_, request) =>
        {
            if (request.Url.EndsWith("/calibrations/preview", StringComparison.Ordinal))
                answered.TrySetResult();
        };
        var adopt = watched.Page.Locator("#lab-adopt");
        var look = adopt.GetByRole(AriaRole.Button, new() { Name = "Preview changes" });
        var take = adopt.GetByRole(AriaRole.Button, new() { Name = "Adopt" });
        await look.ClickAsync();
        await adopt.GetByLabel("Valid until").FillAsync("2026-04-22");
        goOn.SetResult();
        await answered.Task;
        // A later request of ours has its response, so the page has received the late one by then.
        await watched.Page.EvaluateAsync("fetch('/api/farms').then((answer) => answer.json())");

        await Assertions.Expect(take).ToBeDisabledAsync();
        await Assertions.Expect(adopt.Locator("table")).ToHaveCountAsync(0);
        await look.ClickAsync();
        await watched.ShowsAsync("#lab-adopt table", "+26\u00a0lb");
        await Assertions.Expect(take).ToBeEnabledAsync();

        // Newer events may change the preview, so it must be made again. The text in the form stays.
        await adopt.GetByLabel("Who decides").FillAsync("Ada Ash");
        using var body = new StringContent(
            """
            { "farm": "late-day", "records": [
              { "kind": "loads", "by": "R. Field", "at": "2026-04-21T10:00:00-05:00", "pit": "tank", "loads": 1,
                "fillVolumeCubicMetres": 10, "shareFilled": 0.95 }
            ] }
            """,
            null,
            "application/json"
        );
        using var recorded = await web.Client.PostAsync("/api/farms/late-day/records", body);
        Assert.True(recorded.IsSuccessStatusCode, await recorded.Content.ReadAsStringAsync());
        await watched.ShowsAsync("#lab-adopt", "Data changed since this preview");
        await Assertions.Expect(take).ToBeDisabledAsync();
        await Assertions.Expect(adopt.GetByLabel("Who decides")).ToHaveValueAsync("Ada Ash");
        Assert.Empty(watched.Complaints);
    }

    [BrowserFact]
    public async Task Late_pairs_of_one_farm_are_not_suggested_on_another()
    {
        await SampledFarm.BeginAsync(web, "late-farm");
        using var other = new SmallFarm("other-farm");
        await web.Import.ImportAsync(other.Path, default);
        await using var watched = await browser.OpenAsync(Address("late-farm"));
        await watched.ShowsAsync("#lab-adopt", "Preview changes");
        var goOn = new TaskCompletionSource();
        var asked = new TaskCompletionSource();
        var answered = new TaskCompletionSource();
        await watched.Page.RouteAsync(
            "**/late-farm/lab-results/pairs*",
            async route =>
            {
                asked.TrySetResult();
                await goOn.Task;
                await route.ContinueAsync();
            }
        );
        watched.Page.RequestFinished += (_, request) =>
        {
            if (request.Url.Contains("/late-farm/lab-results/pairs", StringComparison.Ordinal))
                answered.TrySetResult();
        };
        await watched.Page.Locator("#lab-analyte").EvaluateAsync("it => it.dispatchEvent(new Event('change'))");
        await asked.Task;
        await watched.Page.Locator("#farm-select").SelectOptionAsync("other-farm");
        // Nothing of the first farm is left while the second one's responses are under way.
        await watched.ShowsAsync("#lab-none", "import lab");
        await Assertions.Expect(watched.Page.Locator("#lab-adoption")).ToBeHiddenAsync();
        goOn.SetResult();
        await answered.Task;
        await watched.Page.EvaluateAsync("fetch('/api/farms').then((answer) => answer.json())");

        await Assertions.Expect(watched.Page.Locator("#lab-adoption")).ToBeHiddenAsync();
        await Assertions.Expect(watched.Page.Locator("#lab-pairs .pairs")).ToBeHiddenAsync();
        Assert.Empty(watched.Complaints);
    }

    private Uri Address(string farm) => new(web.Client.BaseAddress!, $"/?farm={farm}");
}
