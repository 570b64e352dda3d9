using System.Net;
using System.Text;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Web.Http;

/// <summary>Texts that PostgreSQL cannot hold, or that nobody wrote by hand, are rejected with what is wrong.</summary>
public class TextGuardTests(SpreadTestHost web) : IClassFixture<SpreadTestHost>
{
    [DatabaseTheory]
    [InlineData("voids", """{"equipment":"a","by":"x\u0000y"}""", "U+0000")]
    [InlineData("calibrations", """{"calibration":"a\u0000"}""", "U+0000")]
    [InlineData("lab-results", """{"farm":"asked","reports":[{"sample":"a\u0000"}]}""", "U+0000")]
    [InlineData("calibrations/preview", """{"calibration":"n-9","labReports":[null]}""", "no laboratory report")]
    public async Task A_body_with_an_unusable_text_is_answered_with_its_fault(string path, string body, string fault)
    {
        using var content = new StringContent(body, Encoding.UTF8, "application/json");
        using var response = await web.Client.PostAsync($"/api/farms/asked/{path}", content);

        Assert.Equal(HttpStatusCode.BadRequest, response.StatusCode);
        Assert.Contains(fault, await response.Content.ReadAsStringAsync(), StringComparison.Ordinal);
    }

    [DatabaseFact]
    public async Task A_text_of_thousands_of_characters_is_rejected()
    {
        var body = $$"""{"equipment":"a","by":"{{new string('x', 5_000)}}"}""";
        using var content = new StringContent(body, Encoding.UTF8, "application/json");
        using var response = await web.Client.PostAsync("/api/farms/asked/voids", content);

        Assert.Equal(HttpStatusCode.BadRequest, response.StatusCode);
        Assert.Contains("at most 4000", await response.Content.ReadAsStringAsync(), StringComparison.Ordinal);
    }

    [DatabaseFact]
    public async Task An_address_with_an_unusable_character_is_a_bad_request() =>
        Assert.Contains(
            "U+0000",
            await web.Client.ProblemAsync(HttpStatusCode.BadRequest, "/api/rejected?farm=%00"),
            StringComparison.Ordinal
        );
}
