using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal.Spreading;

namespace NutrientLedger.Integration.Tests.Web.Endpoints;

public sealed class FindingTests(WebTestHost web) : IClassFixture<WebTestHost>
{
    [DatabaseFact]
    public async Task A_fouled_window_is_found_and_voided_by_a_persons_decision()
    {
        using var farm = new SmallFarm("fouled");
        await web.Import.ImportAsync(farm.Path, default);
        var sent = farm.Spreading(1, 60);
        var batch = ((SpreadingMeasured)sent.Event).Batch;
        var changed = batch.Readings.Select(
            (reading, i) => i is >= 20 and < 30 ? reading with { TotalNitrogenMilligramsPerLitre = 1_600 } : reading
        );
        await web.PostAsync(sent with { Event = new SpreadingMeasured(batch with { Readings = [.. changed] }) });
        var day = $"/api/farms/fouled/findings?{Period(batch.Readings[0].MeasuredAtMilliseconds, 1)}";

        var answer = await web.Client.AskAsync(day);

        var found = Assert.Single(answer.GetProperty("findings").EnumerateArray());
        Assert.Equal(("spike", "totalNitrogen"), (found.Text("kind"), found.Text("measured")));
        Assert.Equal((21, 30), (found.Number("firstSeq"), found.Number("lastSeq")));
        Assert.Equal("2026-04-21T09:00:21-05:00", found.Text("from"));
        var proposal = found.GetProperty("proposal");
        Assert.Equal(HttpStatusCode.BadRequest, (await SendAsync(Signed(proposal, by: null))).Status);
        Assert.Equal(HttpStatusCode.OK, (await SendAsync(Signed(proposal, by: "Ada Ash"))).Status);
        Assert.Equal(0, (await web.Client.AskAsync(day)).GetProperty("findings").GetArrayLength());
    }

    [DatabaseFact]
    public async Task A_missing_reversed_or_too_long_period_is_rejected_with_what_to_do()
    {
        using var farm = new SmallFarm("asking");
        await web.Import.ImportAsync(farm.Path, default);
        const long noon = 1_776_000_000_000;
        foreach (var period in (string[])["", Period(noon, -1), Period(noon, 3)])
        {
            var problem = await web.Client.ProblemAsync(
                HttpStatusCode.BadRequest,
                $"/api/farms/asking/findings?{period}"
            );
            Assert.Contains("at most two days after", problem, StringComparison.Ordinal);
        }
        Assert.Contains(
            "is not a valid from",
            await web.Client.ProblemAsync(HttpStatusCode.BadRequest, "/api/farms/asking/findings?from=soon"),
            StringComparison.Ordinal
        );
    }

    private static string Period(long around, int days)
    {
        var from = DateTimeOffset.FromUnixTimeMilliseconds(around).AddHours(-1);
        return $"from={from:yyyy-MM-ddTHH:mm:ssZ}&to={from.AddDays(days):yyyy-MM-ddTHH:mm:ssZ}";
    }

    private static Dictionary<string, object?> Signed(JsonElement proposal, string? by) =>
        new(proposal.EnumerateObject().Select(part => KeyValuePair.Create(part.Name, (object?)part.Value)))
        {
            ["by"] = by,
        };

    private async Task<(HttpStatusCode Status, string Text)> SendAsync(object @void)
    {
        using var response = await web.Client.PostAsJsonAsync("/api/farms/fouled/voids", @void);
        return (response.StatusCode, await response.Content.ReadAsStringAsync());
    }
}
