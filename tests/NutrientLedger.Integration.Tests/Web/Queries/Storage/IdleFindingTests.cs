using System.Text.Json;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Integration.Tests.Web.Queries.Storage;

/// <summary>
/// A level that falls while nothing is drawn is reported only when the day is over: loads of these hours may still be
/// recorded.
/// </summary>
public sealed class IdleFindingTests(WebTestHost web) : IClassFixture<WebTestHost>
{
    private const string Address = "/api/farms/idle/reconciliations?pit=tank&from=2026-04-21&to=2026-04-22";
    private const string Moved = "hours without drawing";

    [DatabaseFact]
    public async Task A_level_that_fell_in_idle_hours_is_reported_only_when_the_day_is_over()
    {
        using var farm = new SmallFarm("idle");
        await web.Import.ImportAsync(farm.Path, default);
        // From 9:00 to midnight on the farm, every five minutes, a millimetre lower every quarter of an hour: 60 mm in
        // all.
        await web.PostAsync(
            farm.Level(1, 0) with
            {
                Event = new StorageLevelMeasured(
                    new(
                        "tank-level",
                        1,
                        1,
                        [
                            .. Enumerable
                                .Range(0, (15 * 12) + 1)
                                .Select(i => new LevelReading(
                                    SmallFarm.Morning.AddMinutes(5 * i).ToUnixTimeMilliseconds(),
                                    3_100 - (i / 3)
                                )),
                        ]
                    )
                ),
            }
        );
        try
        {
            // Midnight in Chicago is 5:00 UTC. At 4:59 the level has fallen all but the last millimetre.
            web.FarmTime = new(2026, 4, 22, 4, 59, 0, TimeSpan.Zero);
            var running = await web.Client.AskAsync(Address);
            Assert.Equal("running", running.GetProperty("whole").Text("verdict"));
            Assert.Equal(JsonValueKind.Null, running.GetProperty("whole").GetProperty("idleFinding").ValueKind);
            Assert.DoesNotContain(Moved, await PageAsync(), StringComparison.Ordinal);

            web.FarmTime = new(2026, 4, 22, 5, 0, 0, TimeSpan.Zero);
            var over = await web.Client.AskAsync(Address);
            Assert.Contains(Moved, over.GetProperty("whole").Text("idleFinding"), StringComparison.Ordinal);
            Assert.Contains(Moved, await PageAsync(), StringComparison.Ordinal);
        }
        finally
        {
            web.FarmTime = null;
        }
    }

    private Task<string> PageAsync() => web.Client.GetStringAsync($"{Address}&print=1");
}
