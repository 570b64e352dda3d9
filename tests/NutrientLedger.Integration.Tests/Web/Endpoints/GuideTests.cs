using System.Net;
using System.Text.RegularExpressions;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Web.Endpoints;

/// <summary>The guides that the hub serves, and the addresses that documents name.</summary>
public sealed partial class GuideTests(WebTestHost host) : IClassFixture<WebTestHost>
{
    private static readonly string Root = FindRoot();

    private static readonly string[] Guides =
    [
        .. Directory
            .EnumerateFiles(Path.Combine(Root, "src/NutrientLedger.Web/Guide"), "*.md")
            .Select(path => Path.GetFileNameWithoutExtension(path)),
    ];

    // The hub adds its metrics to the addresses of Web.
    private static readonly string[] OfTheHub = ["/metrics"];

    [DatabaseFact]
    public async Task Every_guide_is_a_page_that_needs_nothing_from_elsewhere()
    {
        Assert.NotEmpty(Guides);
        foreach (var name in Guides)
        {
            using var response = await host.Client.GetAsync($"/guide/{name}");
            var page = await response.Content.ReadAsStringAsync();

            Assert.Equal(HttpStatusCode.OK, response.StatusCode);
            Assert.Equal("text/html", response.Content.Headers.ContentType!.MediaType);
            Assert.StartsWith(
                "default-src 'self';",
                Assert.Single(response.Headers.GetValues("Content-Security-Policy")),
                StringComparison.Ordinal
            );
            Assert.DoesNotMatch("(src|href)=\"https?://", page);
            Assert.DoesNotContain("style=", page, StringComparison.Ordinal);
        }
        Assert.Equal(await host.Client.GetStringAsync("/guide"), await host.Client.GetStringAsync("/guide/index"));
    }

    [DatabaseFact]
    public async Task Every_link_of_a_guide_leads_to_a_page_and_a_heading()
    {
        foreach (var name in Guides)
        {
            var page = await host.Client.GetStringAsync($"/guide/{name}");
            foreach (var link in Reference().Matches(page).Select(match => match.Groups[1].Value).Distinct())
            {
                var parts = WebUtility.HtmlDecode(link).Split('#');
                using var response = await host.Client.GetAsync(parts[0].Length == 0 ? $"/guide/{name}" : parts[0]);
                Assert.True(response.StatusCode == HttpStatusCode.OK, $"{name}: {link} answers {response.StatusCode}.");
                if (parts.Length > 1)
                    Assert.True(
                        (await response.Content.ReadAsStringAsync()).Contains(
                            $"id=\"{parts[1]}\"",
                            StringComparison.Ordinal
                        ),
                        $"{name}: {link} leads to a heading that does not exist."
                    );
            }
        }
    }

    [DatabaseFact]
    public async Task A_link_to_a_heading_of_another_guide_keeps_the_heading()
    {
        var linked = 0;
        foreach (var name in Guides)
        {
            var page = await host.Client.GetStringAsync($"/guide/{name}");
            var text = await File.ReadAllTextAsync(Path.Combine(Root, $"src/NutrientLedger.Web/Guide/{name}.md"));
            foreach (Match link in Heading().Matches(text))
            {
                linked++;
                Assert.Contains($"href=\"/guide/{link.Groups[1]}{link.Groups[2]}\"", page, StringComparison.Ordinal);
            }
        }
        Assert.NotEqual(0, linked);
    }

    [DatabaseFact]
    public async Task An_unknown_guide_is_answered_with_those_that_exist()
    {
        using var asked = await host.Client.GetAsync("/guide/nothing-here");
        var problem = await asked.Content.ReadAsStringAsync();
        using var browser = new HttpRequestMessage(HttpMethod.Get, "/guide/nothing<here>");
        browser.Headers.Accept.Add(new("text/html"));
        using var shown = await host.Client.SendAsync(browser);
        var page = await shown.Content.ReadAsStringAsync();

        Assert.Equal(HttpStatusCode.NotFound, asked.StatusCode);
        Assert.Equal(HttpStatusCode.NotFound, shown.StatusCode);
        Assert.Equal("application/problem+json", asked.Content.Headers.ContentType!.MediaType);
        Assert.Equal("text/html", shown.Content.Headers.ContentType!.MediaType);
        Assert.Contains("nothing&lt;here&gt;", page, StringComparison.Ordinal);
        foreach (var name in Guides)
        {
            Assert.Contains(name, problem, StringComparison.Ordinal);
            Assert.Contains($">{name}</a>", page, StringComparison.Ordinal);
        }
    }

    [DatabaseFact]
    public async Task Every_address_that_a_document_names_is_one_of_the_hub()
    {
        var described = (await host.Client.AskAsync("/openapi/v1.json")).GetProperty("paths");
        string[] known = [.. described.EnumerateObject().Select(path => path.Name)];
        string[] documents =
        [
            .. Guides.Select(name => $"src/NutrientLedger.Web/Guide/{name}.md"),
            "README.md",
            "DEVELOPERS.md",
        ];
        var named = 0;
        foreach (var document in documents)
        foreach (Match match in Address().Matches(await File.ReadAllTextAsync(Path.Combine(Root, document))))
        {
            var address = match.Groups[1].Value;
            named++;
            if (address.StartsWith("/api", StringComparison.Ordinal))
                Assert.True(
                    known.Any(path => IsOf(address, path)),
                    $"{document} names {address}, which the hub does not have."
                );
            else if (!OfTheHub.Contains(address))
            {
                using var response = await host.Client.GetAsync(
                    address.Replace("{name}", "index", StringComparison.Ordinal)
                );
                Assert.True(
                    response.IsSuccessStatusCode,
                    $"{document} names {address}, which answers {response.StatusCode}."
                );
            }
        }
        Assert.NotEqual(0, named);
    }

    /// <summary>
    /// Whether an address, with ids or placeholders in it, matches a path. A placeholder must have the path's own name.
    /// </summary>
    private static bool IsOf(string address, string path)
    {
        var (given, known) = (address.Split('/'), path.Split('/'));
        return given.Length == known.Length
            && given
                .Zip(known)
                .All(part => part.First == part.Second || (part.Second[..1] == "{" && part.First[..1] != "{"));
    }

    private static string FindRoot()
    {
        var at = new DirectoryInfo(AppContext.BaseDirectory);
        while (!File.Exists(Path.Combine(at.FullName, "NutrientLedger.sln")))
            at = at.Parent ?? throw new InvalidOperationException("NutrientLedger.sln is not above the test folder.");
        return at.FullName;
    }

    [GeneratedRegex("(?:href|src)=\"([^\"]*)\"")]
    private static partial Regex Reference();

    [GeneratedRegex("\\]\\(([a-z-]+)\\.md(#[^)]+)\\)")]
    private static partial Regex Heading();

    // An address in a code span, after a method or alone, without its query.
    [GeneratedRegex(
        "`(?:GET |POST |DELETE )?(?:http://127\\.0\\.0\\.1:5080)?(/(?:api|docs|health|metrics|openapi|guide)[^`?\\s]*)"
    )]
    private static partial Regex Address();
}
