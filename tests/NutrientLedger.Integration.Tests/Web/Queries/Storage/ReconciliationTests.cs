using System.Net;
using System.Net.Http.Json;
using System.Text;
using System.Text.Json;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Web.Queries.Storage;

/// <summary>
/// Hand-recorded events come in over HTTP, and a pit's day is queried as by the page or another program.
/// </summary>
public sealed class ReconciliationTests(WebTestHost web) : IClassFixture<WebTestHost>
{
    [DatabaseFact]
    public async Task Records_are_stored_once_and_a_day_closes_to_the_millilitre()
    {
        using var farm = new SmallFarm("reconciled");
        await web.Import.ImportAsync(farm.Path, default);
        var records = $$"""
            { "farm": "reconciled", "records": [
              { "kind": "loads", "by": "R. Field", "at": "2026-04-21T10:00:00-05:00", "pit": "tank", "loads": 2,
                "fillVolumeCubicMetres": 10, "shareFilled": 0.95, "deviationCubicMetres": 0.5, "deviationKnownFrom": "judged" },
              { "kind": "setRate", "by": "R. Field", "applicator": "drag-line", "cubicMetresPerHectare": 4.17, "from": "2026-04-01T00:00:00-05:00" },
              { "kind": "tape", "by": "R. Field", "at": "2026-04-21T08:00:00-05:00", "pit": "tank", "wallMetres": 5, "dryMetres": 1.9, "slopeDegrees": 90 }
            ] }
            """;
        Assert.Equal((3, 0), await RecordedAsync("reconciled", records));
        Assert.Equal((0, 3), await RecordedAsync("reconciled", records));
        await web.PostAsync(farm.Spreading(1, 30));
        await web.PostAsync(farm.Level(1, 3_100));
        await web.PostAsync(farm.Level(200, 3_040));

        var answer = await web.Client.AskAsync(
            "/api/farms/reconciled/reconciliations?pit=tank&from=2026-04-20&to=2026-04-23"
        );

        var whole = answer.GetProperty("whole");
        Assert.Equal(3, answer.GetProperty("days").GetArrayLength());
        Assert.Equal(19_000_000, whole.GetProperty("outMillilitres").GetInt64());
        Assert.Equal(290_000, whole.GetProperty("drawnByMeterMillilitres").GetInt64());
        Assert.Contains("Manure gas", answer.Text("caution"), StringComparison.Ordinal);

        var day = answer.GetProperty("days")[1];
        Assert.Equal("2026-04-21", day.Text("day"));
        // 60 mm of a round tank of 20 m are 18.850 m³, from which 19 m³ of loads and 0.29 m³ by meter are taken.
        Assert.Equal(Math.PI * 100 * 0.06 - 19 - 0.29, day.Number("unexplainedCubicMetres"), 1e-5);
        Assert.Equal("closes", day.Text("verdict"));
    }

    [DatabaseFact]
    public async Task A_day_is_running_until_the_farms_clock_is_past_its_end()
    {
        using var farm = new SmallFarm("running");
        await web.Import.ImportAsync(farm.Path, default);
        // Twenty loads are recorded for the day, and the level has fallen by the first of them only.
        await RecordedAsync(
            "running",
            """
            { "farm": "running", "records": [ { "kind": "loads", "by": "R. Field", "at": "2026-04-21T10:00:00-05:00",
              "pit": "tank", "loads": 20, "fillVolumeCubicMetres": 10, "shareFilled": 1 } ] }
            """
        );
        await web.PostAsync(farm.Level(1, 3_100));
        await web.PostAsync(farm.Level(200, 3_040));
        const string Address = "/api/farms/running/reconciliations?pit=tank&from=2026-04-20&to=2026-04-22";
        try
        {
            // The day ends at midnight in Chicago, 5:00 UTC.
            web.FarmTime = new(2026, 4, 22, 4, 59, 59, TimeSpan.Zero);
            var running = await web.Client.AskAsync(Address);
            Assert.Equal("cannotTell", running.GetProperty("days")[0].Text("verdict"));
            Assert.Equal("running", running.GetProperty("days")[1].Text("verdict"));
            Assert.Equal("running", running.GetProperty("whole").Text("verdict"));
            Assert.Contains("Not over yet", running.GetProperty("whole").Text("finding"), StringComparison.Ordinal);
            Assert.Equal("2026-04-21T23:59:59-05:00", running.Text("calculatedTo"));
            foreach (var stretch in new[] { running.GetProperty("days")[1], running.GetProperty("whole") })
                Assert.Equal(JsonValueKind.Null, stretch.GetProperty("chance").ValueKind);
            Assert.Contains(
                "Tests run when the period is over",
                running.GetProperty("whole").Text("test"),
                StringComparison.Ordinal
            );
            var measurements = running.GetProperty("whole").GetProperty("measurements").EnumerateArray().ToArray();
            Assert.NotEmpty(measurements);
            Assert.All(
                measurements,
                measurement => Assert.Equal("tested when the period is over", measurement.Text("test"))
            );
            Assert.All(measurements, it => Assert.Equal(JsonValueKind.Null, it.GetProperty("testStatistic").ValueKind));
            var page = await web.Client.GetStringAsync($"{Address}&print=1");
            Assert.Contains("2026-04-21 23:59:59 -05:00, farm time", page, StringComparison.Ordinal);
            Assert.DoesNotContain("beyond chance", page, StringComparison.Ordinal);
            Assert.DoesNotContain("independent checks", page, StringComparison.Ordinal);
            Assert.Contains("Not over yet", page, StringComparison.Ordinal);
            Assert.DoesNotContain("does not close", page, StringComparison.Ordinal);

            web.FarmTime = new(2026, 4, 22, 5, 0, 0, TimeSpan.Zero);
            var over = await web.Client.AskAsync(Address);
            Assert.Equal("doesNotClose", over.GetProperty("days")[1].Text("verdict"));
            Assert.InRange(over.GetProperty("days")[1].Number("chance"), 0, 0.05);
            Assert.Equal("2026-04-22T00:00:00-05:00", over.Text("calculatedTo"));
        }
        finally
        {
            web.FarmTime = null;
        }
    }

    [DatabaseFact]
    public async Task Nothing_is_recorded_when_one_record_is_wrong_and_every_error_is_named_with_its_line()
    {
        using var farm = new SmallFarm("faulty");
        await web.Import.ImportAsync(farm.Path, default);
        var before = (await web.Configurations.ReadAsync("faulty", null, default)).Version;
        using var response = await PostAsync(
            "faulty",
            """
            { "farm": "faulty", "records": [
              { "kind": "loads", "by": "R. Field", "at": "2026-04-21T10:00:00-05:00", "pit": "tank", "loads": 2, "fillVolumeCubicMetres": 10, "shareFilled": 1 },
              { "kind": "loads", "by": "R. Field", "at": "yesterday", "pit": "lake", "loads": 0, "fillVolumeCubicMetres": 10, "shareFilled": 1.5 },
              { "kind": "guess", "by": "R. Field" }
            ] }
            """
        );
        Assert.Equal(HttpStatusCode.BadRequest, response.StatusCode);
        var detail = (await response.Content.ReadFromJsonAsync<JsonElement>()).Text("detail")!;
        foreach (
            var fault in new[] { "\"yesterday\"", "\"lake\"", "\"loads\" must", "\"shareFilled\" must", "\"guess\"" }
        )
            Assert.Contains(fault, detail, StringComparison.Ordinal);
        Assert.Contains("Line 3", detail, StringComparison.Ordinal);
        Assert.Equal(before, (await web.Configurations.ReadAsync("faulty", null, default)).Version);
    }

    [DatabaseFact]
    public async Task Inflow_measured_twice_for_the_same_time_is_rejected_and_an_earlier_position_stays_as_it_was()
    {
        using var farm = new SmallFarm("twice");
        await web.Import.ImportAsync(farm.Path, default);
        await web.PostAsync(farm.Level(1, 3_100));
        const string Address = "/api/farms/twice/reconciliations?pit=tank&from=2026-04-21&to=2026-04-22";
        var before = await web.Client.AskAsync(Address);
        string Inflow(string from, string until) =>
            $$"""
                { "farm": "twice", "records": [ { "kind": "inflow", "by": "R. Field", "pit": "tank", "of": "manure",
                  "from": "2026-04-21T{{from}}:00-05:00", "until": "2026-04-21T{{until}}:00-05:00", "volumeCubicMetres": 3 } ] }
                """;
        Assert.Equal((1, 0), await RecordedAsync("twice", Inflow("06:00", "09:00")));
        using var rejected = await PostAsync("twice", Inflow("08:00", "10:00"));
        Assert.Equal(HttpStatusCode.BadRequest, rejected.StatusCode);
        Assert.Contains(
            "periods must not overlap",
            await rejected.Content.ReadAsStringAsync(),
            StringComparison.Ordinal
        );
        Assert.Equal((1, 0), await RecordedAsync("twice", Inflow("09:00", "10:00")));

        static long In(JsonElement answer) => answer.GetProperty("whole").GetProperty("inMillilitres").GetInt64();
        Assert.Equal(6_000_000, In(await web.Client.AskAsync(Address)));
        Assert.Equal(0, In(before));
        var then = await web.Client.AskAsync($"{Address}&asOf={before.GetProperty("position").GetInt64()}");
        Assert.Equal(0, In(then));
        Assert.Contains(
            "journal position",
            await web.Client.ProblemAsync(HttpStatusCode.BadRequest, $"{Address}&asOf=yesterday"),
            StringComparison.Ordinal
        );
    }

    [DatabaseFact]
    public async Task Evaporation_measured_twice_for_the_same_time_is_rejected_and_the_same_record_again_adds_nothing()
    {
        using var farm = new SmallFarm("airing");
        await web.Import.ImportAsync(farm.Path, default);
        string Evaporation(string from, string until) =>
            $$"""
                { "farm": "airing", "records": [ { "kind": "evaporation", "by": "R. Field", "pit": "tank",
                  "from": "2026-04-21T{{from}}:00-05:00", "until": "2026-04-21T{{until}}:00-05:00", "depthMetres": 0.002 } ] }
                """;
        Assert.Equal((1, 0), await RecordedAsync("airing", Evaporation("06:00", "09:00")));
        Assert.Equal((0, 1), await RecordedAsync("airing", Evaporation("06:00", "09:00")));
        using var rejected = await PostAsync("airing", Evaporation("08:00", "10:00"));
        Assert.Equal(HttpStatusCode.BadRequest, rejected.StatusCode);
        Assert.Contains(
            "from 2026-04-21 11:00 until 2026-04-21 14:00 (UTC) this evaporation is already recorded",
            (await rejected.Content.ReadFromJsonAsync<JsonElement>()).Text("detail"),
            StringComparison.Ordinal
        );
        Assert.Equal((1, 0), await RecordedAsync("airing", Evaporation("09:00", "10:00")));
    }

    [DatabaseFact]
    public async Task A_query_without_pit_or_days_says_what_to_ask()
    {
        using var farm = new SmallFarm("asking");
        await web.Import.ImportAsync(farm.Path, default);
        const string Address = "/api/farms/asking/reconciliations";
        Assert.Contains(
            "tank",
            await web.Client.ProblemAsync(HttpStatusCode.BadRequest, Address),
            StringComparison.Ordinal
        );
        Assert.Contains(
            "\"to\" must be 1 to",
            await web.Client.ProblemAsync(
                HttpStatusCode.BadRequest,
                $"{Address}?pit=tank&from=2026-04-21&to=2026-04-21"
            ),
            StringComparison.Ordinal
        );
        foreach (
            var (question, answer) in new[]
            {
                ("pit=lake&from=2026-04-21&to=2026-04-22", "There is no pit \"lake\""),
                ("pit=tank&from=2024-04-21&to=2024-04-22", "ledger begins on 2025-10-01"),
                ("pit=tank&from=2199-04-21&to=2199-04-22", "is in the future"),
            }
        )
            Assert.Contains(
                answer,
                await web.Client.ProblemAsync(HttpStatusCode.BadRequest, $"{Address}?{question}"),
                StringComparison.Ordinal
            );
        var quiet = await web.Client.AskAsync($"{Address}?pit=tank&from=2026-03-08&to=2026-03-09");
        Assert.Equal("cannotTell", quiet.GetProperty("days")[0].Text("verdict"));
    }

    private async Task<(int Recorded, int Unchanged)> RecordedAsync(string farm, string records)
    {
        using var response = await PostAsync(farm, records);
        Assert.True(response.IsSuccessStatusCode, await response.Content.ReadAsStringAsync());
        var outcome = await response.Content.ReadFromJsonAsync<JsonElement>();
        return (outcome.GetProperty("recorded").GetInt32(), outcome.GetProperty("unchanged").GetInt32());
    }

    private Task<HttpResponseMessage> PostAsync(string farm, string records) =>
        web.Client.PostAsync(
            $"/api/farms/{farm}/records",
            new StringContent(records, Encoding.UTF8, "application/json")
        );
}
