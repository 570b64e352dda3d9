using System.Net.Http.Json;
using System.Text.Json;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Web.Queries;

/// <summary>While a batch of a farm cannot be posted, no amount of it passes for complete, on paper either.</summary>
public sealed class UnpostedBatchTests(WebTestHost web) : IClassFixture<WebTestHost>
{
    private const string AtLeast = "At least: 1 batch of this farm cannot be posted.";

    [DatabaseFact]
    public async Task Every_answer_and_statement_says_that_its_amounts_are_minimums()
    {
        using var farm = new SmallFarm("damaged");
        await web.Import.ImportAsync(farm.Path, default);
        await web.PostAsync(farm.Spreading(1, 30));
        await web.PostAsync(farm.Spreading(31, 30));
        await web.PostAsync(farm.Level(1, 3_100));
        Assert.False((await NitrogenAsync()).GetProperty("atLeast").GetBoolean());

        await web.Database.RunAsync(
            "update journal.mt_events set bdata = '\\x63' where type = 'spreading_measured' and version = 2"
        );
        using var answer = await web.Client.PostAsJsonAsync(
            "/api/farms/damaged/voids",
            new
            {
                equipment = "drag-line",
                stream = "spread",
                boot = 1,
                firstSeq = 5,
                lastSeq = 5,
                part = "reading",
                reason = "Air",
                by = "Ada Ash",
            }
        );
        Assert.True(answer.IsSuccessStatusCode, await answer.Content.ReadAsStringAsync());
        var corrected = await web.PostedAsync();

        Assert.True((await NitrogenAsync()).GetProperty("atLeast").GetBoolean());
        await SaysAsync("/api/farms/damaged/fields/east/balance");
        await SaysAsync("/api/farms/damaged/pits");
        await SaysAsync("/api/farms/damaged/pits/tank/inventory");
        await SaysAsync("/api/farms/damaged/reconciliations?pit=tank&from=2026-04-21&to=2026-04-22");
        await PersistenceTestHost.UntilAsync(async () =>
            (await web.Client.AskAsync("/api/farms/damaged/statements")).GetProperty("statements").GetArrayLength() == 1
        );
        using var page = new HttpRequestMessage(HttpMethod.Get, $"/api/farms/damaged/statements/{corrected}");
        page.Headers.Accept.ParseAdd("text/html");
        using var paper = await web.Client.SendAsync(page);
        Assert.Contains(AtLeast, await paper.Content.ReadAsStringAsync(), StringComparison.Ordinal);
    }

    private async Task<JsonElement> NitrogenAsync() =>
        (await web.Client.AskAsync("/api/farms/damaged/fields/east/balance")).GetProperty("nitrogen");

    private async Task SaysAsync(string address) =>
        Assert.Contains(AtLeast, (await web.Client.AskAsync(address)).ToString(), StringComparison.Ordinal);
}
