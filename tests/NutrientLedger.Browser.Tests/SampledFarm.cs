using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal.Spreading;

namespace NutrientLedger.Browser.Tests;

/// <summary>
/// 60 intervals of half a cubic metre with 2 kg of nitrogen each, as much as a meter may count in a second. On the two
/// days after, ten run with the tool raised. In a sample of each day the laboratory finds 0.4 kg/m³ more, but for
/// chance.
/// </summary>
internal static class SampledFarm
{
    private const int Spread = 61;
    private const int Raised = 11;

    public static async Task BeginAsync(WebTestHost web, string id)
    {
        using var farm = new SmallFarm(id);
        await web.Import.ImportAsync(farm.Path, default);
        await web.PostAsync(farm.Spreading(1, Spread, millilitresEach: 500_000));
        decimal[] found = [4.40m, 4.42m, 4.38m];
        int[] read = [4_000, 4_010, 3_990];
        for (var day = 1; day < found.Length; day++)
        {
            var drive = farm.Spreading(Spread + 1 + (day - 1) * Raised, Raised, millilitresEach: 500_000);
            var batch = ((SpreadingMeasured)drive.Event).Batch;
            var later = batch.Readings.Select(reading =>
                reading with
                {
                    MeasuredAtMilliseconds = reading.MeasuredAtMilliseconds + day * 86_400_000L,
                    Engaged = false,
                    TotalNitrogenMilligramsPerLitre = read[day],
                }
            );
            await web.PostAsync(drive with { Event = new SpreadingMeasured(batch with { Readings = [.. later] }) });
        }
        for (var day = 0; day < found.Length; day++)
        {
            using var report = new StringContent(
                $$"""
                { "id": "r-{{day + 1}}", "sample": "jar {{day + 1}}", "laboratory": "Invented laboratory",
                  "sampledFrom": "2026-04-{{21 + day}}T14:00:01Z", "sampledTo": "2026-04-{{21 + day}}T14:{{(day == 0
                    ? "01:01"
                    : "02:00")}}Z", "sensor": "nir", "method": "grab",
                  "reportedOn": "2026-05-04", "by": "Ada Ash",
                  "values": [{ "what": "totalNitrogen", "value": {{found[day]}}, "unit": "kg/m3" }] }
                """,
                null,
                "application/json"
            );
            using var answer = await web.Client.PostAsync($"/api/farms/{id}/lab-results", report);
            Assert.True(answer.IsSuccessStatusCode, await answer.Content.ReadAsStringAsync());
        }
    }
}
