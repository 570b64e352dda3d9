using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal.Spreading;

namespace NutrientLedger.Integration.Tests.Web.Endpoints;

public sealed class DecisionTests(WebTestHost web) : IClassFixture<WebTestHost>
{
    [DatabaseFact]
    public async Task Voided_readings_leave_the_balance_and_return_when_the_void_is_withdrawn()
    {
        using var farm = new SmallFarm("voided");
        await web.Import.ImportAsync(farm.Path, default);
        await web.PostAsync(farm.Spreading(1, 31));

        var answer = await SendAsync(HttpStatusCode.OK, "voided/voids", Void("voided", 11, 20));

        Assert.Equal((0.3 - 0.11, 0.0), await VolumeAsync("voided"));
        var listed = await web.Client.AskAsync("/api/farms/voided/voids");
        Assert.Equal(answer.Text("id"), Assert.Single(listed.GetProperty("voids").EnumerateArray()).Text("id"));

        await SendAsync(HttpStatusCode.OK, $"voided/voids/{answer.Text("id")}/withdraw", Signed);
        Assert.Equal((0.3, 0.0), await VolumeAsync("voided"));

        await SendAsync(HttpStatusCode.OK, "voided/voids", Void("voided", 11, 20, part: "composition"));
        Assert.Equal((0.3, 0.1), await VolumeAsync("voided"));
    }

    /// <summary>A meter at 25,000 m³ dropped one sample: it sent a zero.</summary>
    [DatabaseFact]
    public async Task A_dropped_total_is_found_and_once_it_is_void_nothing_is_missing()
    {
        using var farm = new SmallFarm("dropped");
        await web.Import.ImportAsync(farm.Path, default);
        var batch = ((SpreadingMeasured)farm.Spreading(1, 31).Event).Batch;
        var readings = batch.Readings.Select(
            (reading, i) => reading with { TotalMillilitres = i == 14 ? 0 : 25_000_000_000 + reading.TotalMillilitres }
        );
        await web.PostAsync(
            farm.Spreading(1, 31) with
            {
                Event = new SpreadingMeasured(batch with { Readings = [.. readings] }),
            }
        );
        // Two of thirty intervals of ten litres are unknown. None holds what the meter ever counted.
        Assert.Equal((0.28, 0.0), await VolumeAsync("dropped"));

        var findings = await web.Client.AskAsync(
            "/api/farms/dropped/findings?from=2026-04-21T00:00:00Z&to=2026-04-22T00:00:00Z"
        );
        var found = Assert.Single(findings.GetProperty("findings").EnumerateArray());
        Assert.Equal(("total", 15, 15), (found.Text("measured"), found.Number("firstSeq"), found.Number("lastSeq")));
        Assert.Contains("from 25000.140 to 0.000 m³", found.Text("howStrong"), StringComparison.Ordinal);
        await SendAsync(HttpStatusCode.OK, "dropped/voids", Void("dropped", 15, 15, part: "total"));

        Assert.Equal((0.3, 0.0), await VolumeAsync("dropped"));
        var wrong = await SendAsync(HttpStatusCode.BadRequest, "dropped/voids", Void("dropped", 1, 3, part: "total"));
        Assert.Contains(
            "The totals of readings 0 and 4 must be stored",
            wrong.Text("detail"),
            StringComparison.Ordinal
        );
        Assert.Empty((await web.AuditAsync("dropped")).Findings);
    }

    [DatabaseFact]
    public async Task A_questionable_time_waits_for_a_decision_which_posts_its_volume()
    {
        using var farm = new SmallFarm("questioned");
        await web.Import.ImportAsync(farm.Path, default);
        var wrong = farm.Spreading(1, 31);
        var batch = ((SpreadingMeasured)wrong.Event).Batch;
        const long shift = 800_000_000_000;
        var early = batch.Readings.Select(r => r with { MeasuredAtMilliseconds = r.MeasuredAtMilliseconds - shift });
        // Two messages, of which the second arrives first.
        foreach (
            var part in new[]
            {
                batch with
                {
                    FirstSeq = 17,
                    Readings = [.. early.Skip(16)],
                },
                batch with
                {
                    Readings = [.. early.Take(16)],
                },
            }
        )
            await web.PostAsync(wrong with { Event = new SpreadingMeasured(part) });
        Assert.Equal((0.0, 0.0), await VolumeAsync("questioned"));

        var waiting = (await web.Client.AskAsync("/api/farms/questioned/questionable-times")).GetProperty(
            "questionableTimes"
        );
        var range = Assert.Single(waiting.EnumerateArray());
        Assert.Equal((1, 31), (range.Number("firstSeq"), range.Number("lastSeq")));
        // In December the farm's clock is six hours behind UTC.
        Assert.EndsWith("-06:00", range.Text("claimedFrom"), StringComparison.Ordinal);
        await SendAsync(HttpStatusCode.OK, "questioned/questionable-times/decide", Decide("shifted", shift));

        Assert.Equal((0.3, 0.0), await VolumeAsync("questioned"));
        waiting = (await web.Client.AskAsync("/api/farms/questioned/questionable-times")).GetProperty(
            "questionableTimes"
        );
        Assert.Equal(0, waiting.GetArrayLength());
    }

    [DatabaseFact]
    public async Task Invalid_decisions_are_rejected_with_what_to_do()
    {
        using var farm = new SmallFarm("rejecting");
        await web.Import.ImportAsync(farm.Path, default);
        await web.PostAsync(farm.Spreading(1, 31));

        await ProblemAsync("voids", Void("rejecting", 20, 11), "not below firstSeq");
        await ProblemAsync("voids", Void("rejecting", 1, 2, part: "level"), "Write reading, composition");
        await ProblemAsync("voids", Void("rejecting", 1, 2, reason: " "), "Write the reason");
        await ProblemAsync("questionable-times/decide", Decide("shifted", 0), "shiftMilliseconds other than 0");
        await ProblemAsync("voids", Void("rejecting", 30, 3_100), "The highest number stored of boot 1 is 31.");
        await ProblemAsync("voids", Void("rejecting", 32, 40), "Nearest stored: boot 1 (no. 1 to 31).");
        await ProblemAsync(
            "voids",
            Void("rejecting", 1, 31, boot: 2),
            "drag-line has no stored readings with these numbers on stream spread"
        );
        await ProblemAsync(
            "questionable-times/decide",
            Decide("leftOut", 0, first: 32),
            "no stored readings with these numbers"
        );
        var none = await web.Client.AskAsync("/api/farms/rejecting/voids");
        Assert.Equal(0, none.GetProperty("voids").GetArrayLength());
        var unknown = await SendAsync(HttpStatusCode.NotFound, "rejecting/voids/void-9/withdraw", Signed);
        Assert.Contains("void-9", unknown.Text("title"), StringComparison.Ordinal);
        Assert.Equal((0.3, 0.0), await VolumeAsync("rejecting"));

        async Task ProblemAsync(string address, object body, string whatToDo)
        {
            var problem = await SendAsync(HttpStatusCode.BadRequest, $"rejecting/{address}", body);
            Assert.Contains(whatToDo, problem.Text("detail"), StringComparison.Ordinal);
        }
    }

    private static object Signed => new { reason = "Looked again", by = "Ada Ash" };

    private static object Void(
        string farm,
        long first,
        long last,
        string part = "reading",
        string reason = "Fouled",
        long boot = 1
    ) =>
        new
        {
            equipment = "drag-line",
            stream = "spread",
            boot,
            firstSeq = first,
            lastSeq = last,
            part,
            reason,
            by = $"Ada Ash of {farm}",
        };

    private static object Decide(string decision, long shift, long first = 1) =>
        new
        {
            equipment = "drag-line",
            stream = "spread",
            boot = 1,
            firstSeq = first,
            lastSeq = first + 30,
            decision,
            shiftMilliseconds = shift,
            reason = "The clock had lost its battery",
            by = "Ada Ash",
        };

    /// <summary>Volume of field East and the part of it without composition, rounded to the litre.</summary>
    private async Task<(double Volume, double Without)> VolumeAsync(string farm)
    {
        await web.PostedAsync();
        var balance = await web.Client.AskAsync($"/api/farms/{farm}/fields/east/balance?season=2026");
        return (
            Math.Round(balance.Number("volumeCubicMetres"), 3),
            Math.Round(balance.Number("withoutCompositionCubicMetres"), 3)
        );
    }

    private async Task<JsonElement> SendAsync(HttpStatusCode status, string address, object body)
    {
        using var response = await web.Client.PostAsJsonAsync($"/api/farms/{address}", body);
        var text = await response.Content.ReadAsStringAsync();
        Assert.True(response.StatusCode == status, $"{address} answered {response.StatusCode}: {text}");
        return JsonDocument.Parse(text).RootElement;
    }
}
