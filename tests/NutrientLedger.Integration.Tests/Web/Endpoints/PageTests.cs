using System.Net;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Web.Endpoints;

public class PageTests(WebTestHost web) : IClassFixture<WebTestHost>
{
    [DatabaseTheory]
    [InlineData("/", "text/html")]
    [InlineData("/page/main.js", "text/javascript")]
    [InlineData("/page/paper.css", "text/css")]
    [InlineData("/page/mark.svg", "image/svg+xml")]
    public async Task The_page_is_served_with_its_type_and_may_load_nothing_from_elsewhere(string address, string type)
    {
        using var response = await web.Client.GetAsync(address);

        Assert.Equal(type, response.Content.Headers.ContentType!.MediaType);
        Assert.StartsWith(
            "default-src 'self';",
            Assert.Single(response.Headers.GetValues("Content-Security-Policy")),
            StringComparison.Ordinal
        );
        Assert.Equal("no-cache", response.Headers.CacheControl!.ToString());
    }

    [DatabaseFact]
    public async Task A_browser_that_has_the_page_already_gets_not_modified()
    {
        using var first = await web.Client.GetAsync("/page/main.js");
        using var again = new HttpRequestMessage(HttpMethod.Get, "/page/main.js");
        again.Headers.IfNoneMatch.Add(first.Headers.ETag!);

        using var second = await web.Client.SendAsync(again);

        Assert.Equal(HttpStatusCode.NotModified, second.StatusCode);
    }

    [DatabaseFact]
    public async Task The_page_holds_no_script_or_style_of_its_own()
    {
        var page = await web.Client.GetStringAsync("/");

        Assert.DoesNotContain("<style", page, StringComparison.Ordinal);
        Assert.DoesNotContain("style=", page, StringComparison.Ordinal);
        Assert.DoesNotMatch("<script(?![^>]* src=)", page);
        Assert.DoesNotMatch(" on[a-z]+=", page);
        Assert.DoesNotMatch("https?://", page);
    }

    [DatabaseFact]
    public async Task Health_names_each_part_and_its_state()
    {
        Assert.Equal("healthy", (await web.Client.AskAsync("/health/live")).Text("state"));

        var ready = await web.Client.AskAsync("/health/ready");
        Assert.Equal("healthy", ready.Text("state"));
        Assert.All(ready.GetProperty("parts").EnumerateArray(), part => Assert.Equal("healthy", part.Text("state")));
    }

    [DatabaseFact]
    public async Task The_query_api_describes_itself_for_programs_and_for_people()
    {
        var paths = (await web.Client.AskAsync("/openapi/v1.json")).GetProperty("paths");
        Assert.True(paths.TryGetProperty("/api/farms/{farm}/fields/{field}/balance", out _));

        var page = await web.Client.GetStringAsync("/docs/");
        Assert.DoesNotMatch("(src|href)=\"https?://", page);
    }

    [DatabaseFact]
    public async Task An_unknown_address_is_rejected_as_a_problem()
    {
        using var response = await web.Client.GetAsync("/api/nothing-here");

        Assert.Equal(HttpStatusCode.NotFound, response.StatusCode);
        Assert.Equal("application/problem+json", response.Content.Headers.ContentType!.MediaType);
    }
}
