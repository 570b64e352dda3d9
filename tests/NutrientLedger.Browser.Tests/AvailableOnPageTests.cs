using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Browser.Tests;

/// <summary>
/// A plan by available nitrogen on the page. Half of dairy manure's nitrogen is available where coulters placed it
/// (minnesota).
/// </summary>
public class AvailableOnPageTests(WebTestHost web, OpenBrowser browser)
    : IClassFixture<WebTestHost>,
        IClassFixture<OpenBrowser>
{
    private const string East = "article:has(h3#field-east)";

    [BrowserFact]
    public async Task Available_nutrients_are_shown_beside_total_ones_with_set_and_scheme()
    {
        using var farm = new SmallFarm("available");
        const string choice =
            "\"availability\": { \"set\": \"minnesota\", \"fromSeason\": 2026, \"circumstances\": { \"animal\": \"dairy\" } }, ";
        farm.Write(
            farm.FarmText.Replace("\"plans\":", choice + "\"plans\":", StringComparison.Ordinal)
                .Replace("\"total\"", "\"available\"", StringComparison.Ordinal),
            SmallFarm.FieldsText
        );
        await web.Import.ImportAsync(farm.Path, default);
        await web.PostAsync(farm.Spreading(1, 31));
        await using var watched = await browser.OpenAsync(new(web.Client.BaseAddress!, "/?farm=available"));

        // 1.2 kg of nitrogen are 2.6 lb, half of them 1.3; 0.3 kg P are 0.69 kg P2O5, of which four fifths are 1.2 lb.
        await watched.ShowsAsync($"{East} [data-slot=spreadTotal] >> nth=0", "3\u00a0lb total, 1\u00a0lb available");
        await watched.ShowsAsync($"{East} .facts", "1\u00a0lb N; 1\u00a0lb P₂O₅; 2\u00a0lb K₂O");
        await watched.ShowsAsync(
            $"{East} .facts",
            "minnesota factors (total-nitrogen), known for 100\u00a0% of the volume"
        );
        await watched.ShowsAsync($"{East} .facts", "N unknown (the ledger begins only on 2025-10-01");
        var meter = watched.Page.Locator($"{East} [role=meter]").First;
        Assert.Contains("available of", await meter.GetAttributeAsync("aria-valuetext"), StringComparison.Ordinal);
        Assert.Empty(watched.Complaints);
        Assert.True(new FileInfo(await watched.PictureAsync("available")).Length > 20_000);
    }
}
