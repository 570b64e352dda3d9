using System.Globalization;
using System.Net;
using System.Net.Http.Headers;
using System.Text;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Web.Paper;

/// <summary>A pit's printed reconciliation statement, at the address that programs read.</summary>
public sealed class ReconciliationPageTests(WebTestHost web) : IClassFixture<WebTestHost>
{
    private const string Address = "/api/farms/printed/reconciliations?pit=tank&from=2026-04-21&to=2026-04-22";

    [DatabaseFact]
    public async Task The_printed_page_shows_the_sum_every_measurement_and_the_cautions_in_the_requested_units()
    {
        await PumpedAsync();
        var whole = (await web.Client.AskAsync(Address)).GetProperty("whole");
        var metric = await PageAsync($"{Address}&units=metric");
        var customary = await PageAsync(Address);

        // The tank is 20 m wide: 3.1 m hold 973.893723 m³, and 0.29 m³ ran through the meter.
        Assert.Contains(">start</th><td>973,893,723</td><td>973.89</td>", metric, StringComparison.Ordinal);
        Assert.Contains(
            "− the flow meter of drag-line</th><td>290,000</td><td>0.29</td>",
            metric,
            StringComparison.Ordinal
        );
        // A US gallon is 231 cubic inches, 3.785411784 L: 290 L are 76.6 gal.
        Assert.Contains(
            "− the flow meter of drag-line</th><td>290,000</td><td>77</td>",
            customary,
            StringComparison.Ordinal
        );
        Assert.Contains(
            $"= unexplained</th><td>{whole.GetProperty("unexplainedMillilitres").GetInt64().ToString("N0", CultureInfo.InvariantCulture)}</td>",
            metric,
            StringComparison.Ordinal
        );
        foreach (var measurement in whole.GetProperty("measurements").EnumerateArray())
        {
            Assert.Contains(
                $"<th scope=\"row\">{WebUtility.HtmlEncode(measurement.Text("name"))}</th>",
                metric,
                StringComparison.Ordinal
            );
            Assert.Contains(WebUtility.HtmlEncode(measurement.Text("knownFrom")!), metric, StringComparison.Ordinal);
            Assert.Contains($">{measurement.Text("test")}<", metric, StringComparison.Ordinal);
        }
        foreach (var page in new[] { metric, customary })
        {
            Assert.Contains("<th scope=\"row\">2026-04-21</th>", page, StringComparison.Ordinal);
            Assert.Contains(
                "Manure gas kills. A pit is a confined space: never enter it",
                page,
                StringComparison.Ordinal
            );
            Assert.Contains("Local code and the farm&#39;s nutrient plan prevail", page, StringComparison.Ordinal);
            Assert.Contains(WebUtility.HtmlEncode(whole.Text("test")!), page, StringComparison.Ordinal);
            Assert.Contains("Stirred &lt;twice&gt;", page, StringComparison.Ordinal);
        }
        // 0.29 m³ with 4 g/L total N are 1.16 kg or 2.56 lb; 1 g/L P is 2.291 kg/m³ P2O5, 19.12 lb in 1,000 gal.
        Assert.Contains("total N</th><td>4.00</td><td>1.16</td>", metric, StringComparison.Ordinal);
        Assert.Contains("total N</th><td>33.38</td><td>2.56</td>", customary, StringComparison.Ordinal);
        Assert.Contains("lb/1,000 US gal", customary, StringComparison.Ordinal);
        Assert.Contains("P2O5</th><td>19.12</td>", customary, StringComparison.Ordinal);
        // The page writes the sign as a character reference, so it is decoded as a browser does.
        Assert.Contains("m³", WebUtility.HtmlDecode(metric), StringComparison.Ordinal);
        Assert.DoesNotContain("m³", WebUtility.HtmlDecode(customary), StringComparison.Ordinal);
        // The title names the last day included, not the first one after it.
        Assert.Contains("<title>Reconciliation of tank, 2026-04-21</title>", metric, StringComparison.Ordinal);
        Assert.Contains("<dt>Period</dt><dd>2026-04-21, whole days", metric, StringComparison.Ordinal);
        Assert.Contains("Negative: more was counted than the levels show", metric, StringComparison.Ordinal);
    }

    [DatabaseFact]
    public async Task A_leak_is_shown_in_the_units_of_the_page_and_a_level_left_out_is_counted()
    {
        using var farm = new SmallFarm("leaky");
        await web.Import.ImportAsync(farm.Path, default);
        await web.PostAsync(farm.Spreading(1, 30));
        for (var minute = 1; minute <= 40; minute++)
            await web.PostAsync(
                farm.Level(
                    minute,
                    minute == 20 ? 100
                        : minute < 20 ? 3_100
                        : 2_900
                )
            );
        await web.PostAsync(farm.Level(200, 2_900));
        const string Leaky = "/api/farms/leaky/reconciliations?pit=tank&from=2026-04-21&to=2026-04-22";

        var whole = (await web.Client.AskAsync(Leaky)).GetProperty("whole");
        Assert.Equal(
            (40, 1),
            (whole.GetProperty("levelsKept").GetInt32(), whole.GetProperty("levelsExcluded").GetInt32())
        );
        var page = await PageAsync(Leaky);
        Assert.Contains("<dt>Levels excluded (waves, foam, dropouts)</dt><dd>1</dd>", page, StringComparison.Ordinal);
        Assert.Contains(" US gal left the pit and never came through the meter", page, StringComparison.Ordinal);
        Assert.Contains(" m³ left the pit", whole.Text("finding"), StringComparison.Ordinal);
    }

    [DatabaseFact]
    public async Task While_a_correction_is_posted_response_and_printed_page_say_so()
    {
        using var farm = new SmallFarm("corrected");
        await web.Import.ImportAsync(farm.Path, default);
        await web.PostAsync(farm.Spreading(1, 30));
        await web.PostAsync(farm.Level(1, 3_100));
        const string Address = "/api/farms/corrected/reconciliations?pit=tank&from=2026-04-21&to=2026-04-22";
        Assert.False((await web.Client.AskAsync(Address)).GetProperty("isBeingCorrected").GetBoolean());
        await using (await Phase.HoldAsync(web.Database.ConnectionString, Phase.ShadowTiles))
        {
            const string Redrawn = "\"validFrom\": \"2026-04-01\", \"changeReason\": \"Drawn again\", \"name\"";
            farm.Write(
                farm.FarmText,
                SmallFarm
                    .FieldsText.Replace("43.002", "43.003", StringComparison.Ordinal)
                    .Replace("\"name\"", Redrawn, StringComparison.Ordinal)
            );
            Assert.Empty((await web.Import.ImportAsync(farm.Path, default)).Problems);
            await PersistenceTestHost.UntilAsync(async () =>
                (await web.Client.AskAsync(Address)).GetProperty("isBeingCorrected").GetBoolean()
            );
            Assert.Contains(
                "A correction is being posted",
                await web.Client.GetStringAsync($"{Address}&print=1"),
                StringComparison.Ordinal
            );
        }
        await web.PostedAsync();
        Assert.False((await web.Client.AskAsync(Address)).GetProperty("isBeingCorrected").GetBoolean());
        Assert.DoesNotContain(
            "A correction is being posted",
            await web.Client.GetStringAsync($"{Address}&print=1"),
            StringComparison.Ordinal
        );
    }

    [DatabaseFact]
    public async Task A_page_in_unknown_units_or_of_no_pit_is_rejected_with_what_to_ask()
    {
        using var farm = new SmallFarm("rejecting");
        await web.Import.ImportAsync(farm.Path, default);
        const string Rejecting = "/api/farms/rejecting/reconciliations?from=2026-04-20&to=2026-04-23&print=1";
        foreach (var wrong in new[] { "&pit=tank&units=furlongs", "&pit=lake", "" })
            await web.Client.ProblemAsync(HttpStatusCode.BadRequest, Rejecting + wrong);
    }

    private async Task PumpedAsync()
    {
        using var farm = new SmallFarm("printed");
        await web.Import.ImportAsync(farm.Path, default);
        using var records = new StringContent(
            """
            { "farm": "printed", "records": [
              { "kind": "note", "by": "R. Field", "pit": "tank", "what": "agitated", "from": "2026-04-21T08:00:00-05:00",
                "until": "2026-04-21T09:00:00-05:00", "text": "Stirred <twice>" },
              { "kind": "loads", "by": "R. Field", "at": "2026-04-21T10:00:00-05:00", "pit": "tank", "loads": 2,
                "fillVolumeCubicMetres": 10, "shareFilled": 0.95, "deviationCubicMetres": 0.5, "deviationKnownFrom": "judged" }
            ] }
            """,
            Encoding.UTF8,
            "application/json"
        );
        using var recorded = await web.Client.PostAsync("/api/farms/printed/records", records);
        Assert.True(recorded.IsSuccessStatusCode, await recorded.Content.ReadAsStringAsync());
        await web.PostAsync(farm.Spreading(1, 30));
        await web.PostAsync(farm.Level(1, 3_100));
        await web.PostAsync(farm.Level(200, 3_040));
    }

    private async Task<string> PageAsync(string address)
    {
        using var request = new HttpRequestMessage(HttpMethod.Get, address);
        request.Headers.Accept.Add(new MediaTypeWithQualityHeaderValue("text/html"));
        using var response = await web.Client.SendAsync(request);
        var text = await response.Content.ReadAsStringAsync();
        Assert.True(response.IsSuccessStatusCode, text);
        Assert.Equal("text/html", response.Content.Headers.ContentType!.MediaType);
        Assert.Contains(
            "default-src 'self'",
            response.Headers.GetValues("Content-Security-Policy").Single(),
            StringComparison.Ordinal
        );
        return text;
    }
}
