using System.Globalization;
using System.Net;
using System.Net.Http.Headers;
using System.Net.Http.Json;
using System.Text.Json;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Integration.Tests.Web.Commands;

namespace NutrientLedger.Integration.Tests.Web.Endpoints;

public class StatementApiTests(SpreadTestHost web) : IClassFixture<SpreadTestHost>
{
    private const string Statements = "/api/farms/asked/statements";

    private HttpClient Client => web.Client;

    [DatabaseFact]
    public async Task Statements_are_listed_page_by_page_shown_as_stored_and_printed_with_the_same_values()
    {
        using var entered = await Client.PostAsJsonAsync(
            "/api/farms/asked/lab-results",
            LabResultTests.Report("r-1", 36m)
        );
        Assert.True(entered.IsSuccessStatusCode, await entered.Content.ReadAsStringAsync());
        var adopted = await AdoptAsync("n-1", 1.1m, "Ada Ash <b>");
        var again = await AdoptAsync("n-2", 1.2m, "Ada Ash");

        var first = await Client.AskAsync($"{Statements}?limit=1");
        Assert.Equal("n-1", Assert.Single(first.GetProperty("statements").EnumerateArray()).Text("id"));
        Assert.Equal(adopted, first.GetProperty("next").GetInt64());
        var second = await Client.AskAsync($"{Statements}?after={adopted}");
        var listed = Assert.Single(second.GetProperty("statements").EnumerateArray());
        Assert.Equal((again, "n-2"), (listed.GetProperty("position").GetInt64(), listed.Text("id")));
        Assert.Equal(JsonValueKind.Null, second.GetProperty("next").ValueKind);

        // 59 intervals of 10 L at 4 g/L: 2.36 kg; 1.1 times that is 2.596 kg, 5.20 lb before and 5.72 lb after.
        var statement = await Client.AskAsync($"{Statements}/{adopted}");
        var field = Assert.Single(statement.GetProperty("fields").EnumerateArray());
        var nitrogen = field.GetProperty("amounts").GetProperty("totalNitrogenKilograms");
        Assert.Equal(
            (2.36m, 2.596m),
            (nitrogen.GetProperty("before").GetDecimal(), nitrogen.GetProperty("after").GetDecimal())
        );
        var metric = await PageAsync($"{Statements}/{adopted}?units=metric&print=1");
        foreach (
            var amount in field
                .GetProperty("amounts")
                .EnumerateObject()
                .Where(a => a.Name.EndsWith("Kilograms", StringComparison.Ordinal))
        )
            Assert.Contains(
                $"<td>{Rounded(amount.Value, "before")}</td><td>{Rounded(amount.Value, "after")}</td><td>{Change(amount.Value)}</td>",
                metric,
                StringComparison.Ordinal
            );
        Assert.Contains("Local code and the farm&#39;s nutrient plan prevail", metric, StringComparison.Ordinal);
        Assert.Contains("Ada Ash &lt;b&gt;", metric, StringComparison.Ordinal);
        Assert.DoesNotContain("<b>", metric, StringComparison.Ordinal);
        Assert.Contains(
            "total N, lb</th><td>5.20</td><td>5.72</td><td>+0.52</td>",
            await PageAsync($"{Statements}/{adopted}"),
            StringComparison.Ordinal
        );
        AssertContains(
            metric,
            "<dt>Farm</dt><dd>Small Farm (asked)</dd>",
            "<dt>Laboratory reports</dt><dd>r-1</dd>",
            "<strong>Changed: East (east), season 2026.</strong>",
            "<caption>From pit Tank (tank)</caption>",
            "Available N: no availability set chosen for this season.",
            "P2O5, kg</th><td>1.35</td><td>1.35</td><td>none</td>"
        );
        Assert.DoesNotContain("All pits", metric, StringComparison.Ordinal);
    }

    [DatabaseFact]
    public async Task A_query_for_no_statement_says_what_to_ask()
    {
        Assert.Contains(
            "lists them",
            await Client.ProblemAsync(HttpStatusCode.NotFound, $"{Statements}/1"),
            StringComparison.Ordinal
        );
        foreach (
            var address in new[]
            {
                $"{Statements}/first",
                $"{Statements}?limit=0",
                $"{Statements}?after=-1",
                $"{Statements}/1?units=furlongs",
            }
        )
            await Client.ProblemAsync(HttpStatusCode.BadRequest, address);
        await Client.ProblemAsync(HttpStatusCode.NotFound, "/api/farms/unknown/statements");
    }

    private static void AssertContains(string page, params string[] words) =>
        Assert.All(words, word => Assert.Contains(word, WebUtility.HtmlDecode(page), StringComparison.Ordinal));

    private static string Change(JsonElement amount) =>
        amount.GetProperty("change").GetDouble() == 0 ? "none" : $"+{Rounded(amount, "change")}";

    private static string Rounded(JsonElement amount, string name) =>
        amount.GetProperty(name).GetDouble().ToString("N2", CultureInfo.InvariantCulture);

    private async Task<string> PageAsync(string address)
    {
        using var request = new HttpRequestMessage(HttpMethod.Get, address);
        request.Headers.Accept.Add(new MediaTypeWithQualityHeaderValue("text/html"));
        using var response = await Client.SendAsync(request);
        var text = await response.Content.ReadAsStringAsync();
        Assert.True(response.IsSuccessStatusCode, text);
        Assert.Equal("text/html", response.Content.Headers.ContentType!.MediaType);
        return text;
    }

    /// <summary>Adopts a calibration and waits for its statement. Returns the position.</summary>
    private async Task<long> AdoptAsync(string id, decimal slope, string who)
    {
        var calibration = new
        {
            calibration = id,
            sensor = "nir",
            analyte = "totalNitrogen",
            slope,
            validFrom = "2026-04-21T14:00:00Z",
            labReports = new[] { "r-1" },
            by = who,
            reason = "Laboratory finds more",
        };
        using var response = await Client.PostAsJsonAsync("/api/farms/asked/calibrations", calibration);
        Assert.True(response.IsSuccessStatusCode, await response.Content.ReadAsStringAsync());
        using var limit = new CancellationTokenSource(WebTestHost.Patience);
        while (true)
        {
            var known = (await Client.AskAsync(Statements))
                .GetProperty("statements")
                .EnumerateArray()
                .LastOrDefault(x => x.Text("id") == id);
            if (known.ValueKind == JsonValueKind.Object)
                return known.GetProperty("position").GetInt64();
            await Task.Delay(20, limit.Token);
        }
    }
}
