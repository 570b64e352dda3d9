using System.Net;
using System.Text.Json;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Web.Http;

/// <summary>An unreadable request body gets a response that says what is wrong in it, and nothing is stored.</summary>
public sealed class BrokenBodyTests(SpreadTestHost web) : IClassFixture<SpreadTestHost>
{
    [DatabaseTheory]
    [InlineData("calibrations/preview", "{", "Invalid JSON at line 1, byte 2.")]
    [InlineData("voids", "{\"equipment\":\"drag-line\",\n\"boot\": one}", "Invalid JSON at line 2")]
    [InlineData("calibrations", "{\"slope\":\"x\"}", "\"slope\" (line 1) has the wrong type. See /docs.")]
    [InlineData("calibrations", "{\"labReports\":[1]}", "\"labReports[0]\" (line 1) has the wrong type")]
    [InlineData(
        "calibrations",
        "{\"validFrom\":\"2026-04-21T00:00:00\"}",
        "\"validFrom\" (line 1): write a time with its UTC offset"
    )]
    [InlineData("calibrations", "{\"validFrom\":\"2026-04-21\"}", "write a time with its UTC offset, such as")]
    [InlineData("replays", "{\"asOfTime\":\"soon\"}", "\"asOfTime\" (line 1): write a time with its UTC offset")]
    [InlineData("replays", "[1]", "The body (line 1) has the wrong type. See /docs.")]
    [InlineData("calibrations", "", "Send a JSON object")]
    public async Task An_unreadable_body_is_reported_with_place_and_error(string address, string body, string words)
    {
        var before = await EventsAsync();
        var (status, detail) = await PostAsync(address, body, "application/json");
        Assert.Equal(HttpStatusCode.BadRequest, status);
        Assert.Contains(words, detail, StringComparison.Ordinal);
        Assert.Equal(before, await EventsAsync());
    }

    /// <summary>A search that tries each T again would take seconds for it.</summary>
    [DatabaseFact]
    public async Task A_moment_of_thousands_of_letters_is_rejected_like_any_other()
    {
        var body = $$"""{"validFrom":"{{new string('T', 3_900)}}"}""";
        var (status, detail) = await PostAsync("calibrations", body, "application/json");
        Assert.Equal(HttpStatusCode.BadRequest, status);
        Assert.Contains("write a time with its UTC offset", detail, StringComparison.Ordinal);
    }

    [DatabaseFact]
    public async Task A_body_over_the_limit_says_what_to_do()
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, "/api/farms/asked/lab-results")
        {
            Content = new StringContent($"{{\"reports\":\"{new string('x', 5 << 20)}\"}}", null, "application/json"),
            // The body is not sent where its length alone is answered.
            Headers = { ExpectContinue = true },
        };
        using var answer = await web.Client.SendAsync(request);
        Assert.Equal(HttpStatusCode.RequestEntityTooLarge, answer.StatusCode);
        var detail = await answer.Content.ReadAsStringAsync();
        Assert.Contains("larger than 4 MiB", detail, StringComparison.Ordinal);
    }

    [DatabaseFact]
    public async Task Of_a_file_that_is_wrong_on_every_line_the_first_errors_are_listed_and_the_others_counted()
    {
        var reports = string.Join(',', Enumerable.Repeat("{}", 5_000));
        var (status, detail) = await PostAsync("lab-results", $$"""{"reports":[{{reports}}]}""", "application/json");
        Assert.Equal(HttpStatusCode.BadRequest, status);
        Assert.Contains("more errors", detail, StringComparison.Ordinal);
        Assert.True(detail.Length < 20_000, $"{detail.Length} characters");
    }

    [DatabaseFact]
    public async Task A_body_without_a_json_content_type_says_what_to_send()
    {
        var (status, detail) = await PostAsync("calibrations", "{}", "text/plain");
        Assert.Equal(HttpStatusCode.UnsupportedMediaType, status);
        Assert.Contains("Content-Type: application/json", detail, StringComparison.Ordinal);
    }

    private async Task<int> EventsAsync() =>
        (await web.Client.AskAsync("/api/farms/asked/configuration")).GetProperty("events").GetArrayLength();

    private async Task<(HttpStatusCode Status, string Detail)> PostAsync(string address, string body, string type)
    {
        using var content = new StringContent(body, null, type);
        using var answer = await web.Client.PostAsync($"/api/farms/asked/{address}", content);
        var problem = JsonSerializer.Deserialize<JsonElement>(await answer.Content.ReadAsStringAsync());
        return (answer.StatusCode, problem.Text("detail") ?? "");
    }
}
