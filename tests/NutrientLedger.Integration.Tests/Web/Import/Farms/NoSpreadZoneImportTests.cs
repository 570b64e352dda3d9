using System.Net;
using System.Text.Json;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Web.Import.Farms;

/// <summary>
/// A no-spread zone imported after the work corrects the ledger. Of 59 intervals of 10 L the midpoints of the first 15
/// lie in the zone.
/// </summary>
public class NoSpreadZoneImportTests(WebTestHost web) : IClassFixture<WebTestHost>
{
    private const string Farm = "/api/farms/zoned";

    [DatabaseFact]
    public async Task A_zone_is_stated_in_the_balance_and_by_a_statement_and_can_be_ended()
    {
        using var farm = new SmallFarm("zoned");
        await ImportAsync(farm, recorded: 11);
        await web.PostAsync(farm.Spreading(1, 60));

        farm.WriteZone();
        await ImportAsync(farm, recorded: 1);
        await ImportAsync(farm, recorded: 0);
        var first = await StatementAsync(1);

        var balance = await web.Client.AskAsync($"{Farm}/fields/east/balance");
        Assert.Equal(0.59, balance.Number("volumeCubicMetres"), 1e-9);
        Assert.Equal(0, balance.Number("flaggedShare"));
        Assert.Empty(balance.GetProperty("flagged").EnumerateArray());
        var inside = balance.GetProperty("inNoSpreadZones");
        Assert.Equal(0.15, inside.Number("volumeCubicMetres"), 1e-9);
        Assert.Equal(0.15 * 4, inside.Number("totalNitrogenKilograms"), 1e-9);
        Assert.Equal(0.15 * 2.2910, inside.Number("p2o5Kilograms"), 1e-9);
        Assert.Contains("authority", inside.Text("caution"), StringComparison.Ordinal);
        Assert.Equal("No-spread zone creek registered from 2025-10-01 on.", first.Text("whatMetric"));
        Assert.Equal("Ten metres from the water", first.Text("reason"));
        var page = WebUtility.HtmlDecode(
            await web.Client.GetStringAsync($"{Farm}/statements/{first.GetProperty("position")}?print=1&units=metric")
        );
        Assert.Contains(
            "of it in no-spread zones, m³</th><td>0.00</td><td>0.15</td><td>+0.15</td>",
            page,
            StringComparison.Ordinal
        );
        Assert.Contains(inside.Text("caution")!, page, StringComparison.Ordinal);

        farm.WriteZone(more: """, "validTo": "2026-04-21" """);
        await ImportAsync(farm, recorded: 1);
        await StatementAsync(2);
        balance = await web.Client.AskAsync($"{Farm}/fields/east/balance");
        Assert.Equal(JsonValueKind.Null, balance.GetProperty("inNoSpreadZones").ValueKind);

        var audit = await web.AuditAsync("zoned");
        Assert.Empty(audit.Findings);
        Assert.Equal(2, audit.Statements);
    }

    private async Task ImportAsync(SmallFarm farm, int recorded)
    {
        var outcome = await web.Import.ImportAsync(farm.Path, default);
        Assert.Empty(outcome.Problems);
        Assert.Equal(recorded, outcome.Recorded);
        await web.PostedAsync();
    }

    /// <summary>Waits for the farm's statement of this number and for the ledger it states.</summary>
    private async Task<JsonElement> StatementAsync(int number)
    {
        JsonElement[] statements = [];
        await PersistenceTestHost.UntilAsync(async () =>
        {
            statements =
            [
                .. (await web.Client.AskAsync($"{Farm}/statements")).GetProperty("statements").EnumerateArray(),
            ];
            var balance = await web.Client.AskAsync($"{Farm}/fields/east/balance");
            return statements.Length == number && !balance.GetProperty("isBeingCorrected").GetBoolean();
        });
        return statements[^1];
    }
}
