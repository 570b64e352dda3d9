using System.Net;
using System.Text;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Web.Queries.Storage;

/// <summary>
/// Where a reconciliation can say little: a day that is not over, a pit without measurements, a meter without a pit.
/// </summary>
public sealed class ReconciliationLimitsTests(WebTestHost web) : IClassFixture<WebTestHost>
{
    [DatabaseFact]
    public async Task A_running_day_is_computed_up_to_now_and_days_to_come_are_left_out()
    {
        using var farm = new SmallFarm("running");
        await web.Import.ImportAsync(farm.Path, default);
        using var records = new StringContent(
            """
            { "farm": "running", "records": [ { "kind": "dailyInflow", "by": "R. Field", "pit": "tank", "of": "manure",
              "animals": 100, "cubicMetresPerAnimalDay": 0.06, "from": "2025-10-01T00:00:00-05:00" } ] }
            """,
            Encoding.UTF8,
            "application/json"
        );
        using var recorded = await web.Client.PostAsync("/api/farms/running/records", records);
        Assert.True(recorded.IsSuccessStatusCode, await recorded.Content.ReadAsStringAsync());
        await web.PostAsync(farm.Spreading(1, 30));
        await web.PostAsync(farm.Level(1, 3_100));
        await web.PostAsync(farm.Level(170, 3_110));
        const string Address = "/api/farms/running/reconciliations?pit=tank";
        try
        {
            // Noon on the farm: half of the day's 6 m³ have run in.
            web.FarmTime = new(2026, 4, 21, 17, 0, 0, TimeSpan.Zero);
            var noon = await web.Client.AskAsync($"{Address}&from=2026-04-21&to=2026-04-24");
            var day = Assert.Single(noon.GetProperty("days").EnumerateArray());
            Assert.Equal(("2026-04-21", "running"), (day.Text("day"), day.Text("verdict")));
            Assert.StartsWith("Not over yet", day.Text("finding"), StringComparison.Ordinal);
            Assert.Equal(3_000_000, noon.GetProperty("whole").GetProperty("inMillilitres").GetInt64());

            await web.PostAsync(farm.Level(300, 3_110));
            web.FarmTime = new(2026, 4, 22, 5, 0, 0, TimeSpan.Zero);
            var over = await web.Client.AskAsync($"{Address}&from=2026-04-21&to=2026-04-22");
            Assert.Equal("closes", over.GetProperty("whole").Text("verdict"));
            Assert.Equal(6_000_000, over.GetProperty("whole").GetProperty("inMillilitres").GetInt64());
            Assert.Contains(
                "which is in the future",
                await web.Client.ProblemAsync(HttpStatusCode.BadRequest, $"{Address}&from=2026-04-23&to=2026-04-24"),
                StringComparison.Ordinal
            );
        }
        finally
        {
            web.FarmTime = null;
        }
    }

    [DatabaseFact]
    public async Task A_pit_without_sensor_and_a_meter_without_pit_are_explained_in_words()
    {
        using var farm = new SmallFarm("bare");
        farm.Write(
            farm.FarmText.Replace(
                    "\"equipment\": \"tank-level\", \"place\": \"inPit\", \"host\": \"tank\"",
                    "\"equipment\": \"tank-level\", \"place\": \"atPump\", \"host\": \"drag-line\"",
                    StringComparison.Ordinal
                )
                .Replace(
                    "\"pit\": \"tank\", \"from\": \"2025-10-01T00",
                    "\"pit\": \"tank\", \"from\": \"2026-10-01T00",
                    StringComparison.Ordinal
                ),
            SmallFarm.FieldsText
        );
        var outcome = await web.Import.ImportAsync(farm.Path, default);
        Assert.Empty(outcome.Problems);
        await web.PostAsync(farm.Spreading(1, 30));

        var whole = (
            await web.Client.AskAsync("/api/farms/bare/reconciliations?pit=tank&from=2026-04-21&to=2026-04-22")
        ).GetProperty("whole");
        Assert.Equal("cannotTell", whole.Text("verdict"));
        Assert.Equal("Nothing was measured or recorded for this pit in this time.", whole.Text("finding"));
        Assert.Equal(0.29, whole.Number("meteredFromNoPitCubicMetres"), 1e-9);
        var notes = whole.GetProperty("notes").EnumerateArray().Select(note => note.GetString()!).ToArray();
        Assert.Contains(
            notes,
            note => note.StartsWith("No level sensor is mounted in this pit.", StringComparison.Ordinal)
        );
        Assert.Contains(notes, note => note.StartsWith("drag-line ran in this period", StringComparison.Ordinal));
    }
}
