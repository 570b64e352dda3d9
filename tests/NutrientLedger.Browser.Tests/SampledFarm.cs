using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Browser.Tests;

/// <summary>
/// 60 intervals of half a cubic metre with 2 kg of nitrogen each, as much as a meter may count in a second. In a sample
/// of them the laboratory finds 4.4 kg/m³.
/// </summary>
internal static class SampledFarm
{
    public static async Task BeginAsync(WebTestHost web, string id)
    {
        using var farm = new SmallFarm(id);
        await web.Import.ImportAsync(farm.Path, default);
        await web.PostAsync(farm.Spreading(1, 61, millilitresEach: 500_000));
        using var report = new StringContent(
            """
            { "id": "r-1", "sample": "jar 1", "laboratory": "Invented laboratory", "sampledFrom": "2026-04-21T14:00:01Z",
              "sampledTo": "2026-04-21T14:01:01Z", "sensor": "nir", "method": "grab", "reportedOn": "2026-05-04",
              "by": "Ada Ash", "values": [{ "what": "totalNitrogen", "value": 4.4, "unit": "kg/m3" }] }
            """,
            null,
            "application/json"
        );
        using var answer = await web.Client.PostAsync($"/api/farms/{id}/lab-results", report);
        Assert.True(answer.IsSuccessStatusCode, await answer.Content.ReadAsStringAsync());
    }
}
