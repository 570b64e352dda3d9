using System.Net.Http.Json;
using System.Text.Json;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Web.Queries.Sampling;

/// <summary>
/// A sensor at the pump, ten litres a second, 4 g/L up to reading 20 and 2 g/L from then on. A sample at the applicator
/// takes the ten intervals of the readings 18 to 27. Worked by hand, as in HosePairingTests.
/// </summary>
public class HoseLagTests(WebTestHost web) : IClassFixture<WebTestHost>
{
    [DatabaseFact]
    public async Task A_sample_at_the_applicator_pairs_one_hose_volume_later_and_the_response_says_so()
    {
        var pairs = await PairsAsync("hose-known", ", \"hoseVolumeCubicMetres\": 0.03");

        // Three seconds later: 18 to 22 bring 4 g/L, 23 to 27 bring 2 g/L.
        var pair = Assert.Single(pairs.GetProperty("pairs").EnumerateArray());
        Assert.Equal(
            ("shifted", "drag-line", 3_000.0),
            (pair.Text("lag"), pair.Text("applicator"), pair.Number("sensor"))
        );
        Assert.Contains(
            Warnings(pairs),
            warning => warning.Contains("The shift assumes no mixing in the hose", StringComparison.Ordinal)
        );
    }

    [DatabaseFact]
    public async Task Without_a_hose_volume_nothing_is_shifted_and_the_response_says_that_the_lag_is_unknown()
    {
        var pairs = await PairsAsync("hose-unknown", "");

        var pair = Assert.Single(pairs.GetProperty("pairs").EnumerateArray());
        Assert.Equal(("notKnown", 2_400.0), (pair.Text("lag"), pair.Number("sensor")));
        Assert.Contains(
            Warnings(pairs),
            warning =>
                warning.Contains("the hose volume is unknown, so readings are not shifted", StringComparison.Ordinal)
        );
    }

    private async Task<JsonElement> PairsAsync(string id, string hose)
    {
        using var farm = new SmallFarm(id);
        farm.Write(
            farm.FarmText.Replace("\"onApplicator\"", "\"atPump\"" + hose, StringComparison.Ordinal),
            SmallFarm.FieldsText
        );
        Assert.Empty((await web.Import.ImportAsync(farm.Path, default)).Problems);
        await web.PostAsync(farm.Spreading(1, 40, seq => seq < 20 ? 4_000 : 2_000));
        using var response = await web.Client.PostAsJsonAsync(
            $"/api/farms/{id}/lab-results",
            new
            {
                id = "r-1",
                sample = "jar 1",
                laboratory = "Fen Street laboratory",
                sampledFrom = SmallFarm.Morning.AddSeconds(18),
                sampledTo = SmallFarm.Morning.AddSeconds(28),
                applicator = "drag-line",
                method = "mixed grab samples",
                reportedOn = "2026-05-02",
                values = new[]
                {
                    new
                    {
                        what = "totalNitrogen",
                        value = 3.1m,
                        unit = "g/L",
                    },
                },
                by = "Ada Ash",
            }
        );
        Assert.True(response.IsSuccessStatusCode, await response.Content.ReadAsStringAsync());
        return await web.Client.AskAsync($"/api/farms/{id}/lab-results/pairs?sensor=nir&analyte=totalNitrogen");
    }

    private static IEnumerable<string> Warnings(JsonElement pairs) =>
        pairs.GetProperty("warnings").EnumerateArray().Select(warning => warning.GetString()!);
}
