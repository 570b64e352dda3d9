using System.Net;
using System.Text;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Web.Http;

/// <summary>
/// Pages of other sites, in a browser on the hub's machine, cannot write to it. Under a host name of their own they
/// cannot read it.
/// </summary>
public sealed class OriginGuardTests(WebTestHost web) : IClassFixture<WebTestHost>
{
    private const string Replays = "/api/farms/guarded/replays";

    private string Own => web.Client.BaseAddress!.GetLeftPart(UriPartial.Authority);

    [DatabaseTheory]
    [InlineData("https://elsewhere.example")]
    [InlineData("http://127.0.0.1:1")]
    [InlineData("null")]
    public async Task A_page_of_another_site_writes_nothing_and_gets_the_reason(string origin)
    {
        using var farm = new SmallFarm("guarded");
        await web.Import.ImportAsync(farm.Path, default);
        foreach (
            var (method, address) in new[]
            {
                (HttpMethod.Post, Replays),
                (HttpMethod.Post, "/api/farms/guarded/lab-results"),
                (HttpMethod.Delete, "/api/replays/1"),
            }
        )
        {
            var (status, text) = await AskAsync(method, address, origin);
            Assert.Equal(HttpStatusCode.Forbidden, status);
            Assert.Contains("page from another site", text, StringComparison.Ordinal);
            Assert.Contains(Own, text, StringComparison.Ordinal);
        }
        Assert.Equal(0, (await web.Client.AskAsync("/api/replays")).GetProperty("replays").GetArrayLength());
    }

    [DatabaseFact]
    public async Task The_hubs_own_page_and_programs_without_an_origin_can_write()
    {
        foreach (var origin in new[] { Own, null })
        {
            // Behind the guard the address itself responds: there is no such farm, and no such replay.
            Assert.Equal(
                HttpStatusCode.NotFound,
                (await AskAsync(HttpMethod.Post, "/api/farms/none/replays", origin)).Status
            );
            Assert.Equal(HttpStatusCode.NotFound, (await AskAsync(HttpMethod.Delete, "/api/replays/1", origin)).Status);
        }
        Assert.Equal(
            HttpStatusCode.OK,
            (await AskAsync(HttpMethod.Get, "/api/farms", "https://elsewhere.example")).Status
        );
    }

    [DatabaseTheory]
    [InlineData("elsewhere.example")]
    [InlineData("localhost.elsewhere.example")]
    [InlineData("192.0.2.7")]
    public async Task Under_a_foreign_host_name_nothing_is_answered(string name)
    {
        foreach (var address in new[] { "/api/farms", "/health/ready", "/" })
        {
            var (status, text) = await AskAsync(HttpMethod.Get, address, null, name);
            Assert.Equal(HttpStatusCode.Forbidden, status);
            Assert.Contains("http://localhost", text, StringComparison.Ordinal);
        }
    }

    [DatabaseTheory]
    [InlineData("localhost")]
    [InlineData("127.0.0.1")]
    [InlineData("[::1]")]
    public async Task Under_its_own_host_names_it_responds(string name) =>
        Assert.Equal(HttpStatusCode.OK, (await AskAsync(HttpMethod.Get, "/api/farms", null, name)).Status);

    private async Task<(HttpStatusCode Status, string Text)> AskAsync(
        HttpMethod method,
        string address,
        string? origin,
        string? host = null
    )
    {
        using var request = new HttpRequestMessage(method, address);
        if (method == HttpMethod.Post)
            // A browser lets any page post plain text without a preflight request to the hub.
            request.Content = new StringContent(
                "{}",
                Encoding.UTF8,
                origin is null || origin == Own ? "application/json" : "text/plain"
            );
        if (origin is not null)
            request.Headers.Add("Origin", origin);
        if (host is not null)
            request.Headers.Host = $"{host}:{web.Client.BaseAddress!.Port}";
        using var response = await web.Client.SendAsync(request);
        return (response.StatusCode, await response.Content.ReadAsStringAsync());
    }
}
