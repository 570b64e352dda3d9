using System.Net.Http.Json;
using System.Text.Json;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Web.Commands;

/// <summary>A sample of one morning against the sensor, over the API.</summary>
public sealed class LabPairTests(SpreadTestHost web) : IClassFixture<SpreadTestHost>
{
    private const string Results = "/api/farms/asked/lab-results";

    private HttpClient Client => web.Client;

    [DatabaseFact]
    public async Task A_sample_is_paired_with_what_passed_the_sensor_and_one_day_proposes_nothing_but_a_person_may_preview()
    {
        await PostAsync(Results, LabResultTests.Report("p-1", 4.4m, "kg/m3"));

        var pairs = await Client.AskAsync($"{Results}/pairs?sensor=nir&analyte=totalNitrogen");
        var pair = Assert.Single(pairs.GetProperty("pairs").EnumerateArray(), it => it.Text("report") == "p-1");
        // Readings 1 to 29 lie before the 30th second; each is followed by 10 L with 4 g/L.
        Assert.Equal((4_400.0, 4_000.0), (pair.Number("laboratory"), pair.Number("sensor")));
        Assert.Equal(0.29, pair.Number("volumeCubicMetres"), 1e-12);
        Assert.NotEmpty(pairs.GetProperty("warnings").EnumerateArray());
        // The report's 14:00 UTC is 9:00 by the farm's clock.
        Assert.Equal(("2026-04-21T09:00:00-05:00", "2026-04-21T09:00:30-05:00"), (pair.Text("from"), pair.Text("to")));

        // All samples are of one morning.
        Assert.Equal((1, JsonValueKind.Null), (pairs.Number("days"), pairs.GetProperty("proposal").ValueKind));
        Assert.EndsWith("on 1 day: nothing is tested.", pairs.Text("test"), StringComparison.Ordinal);
        var preview = await PostAsync(
            "/api/farms/asked/calibrations/preview",
            new
            {
                calibration = "n-1",
                sensor = "nir",
                analyte = "totalNitrogen",
                interceptMilligramsPerLitre = 400,
                validFrom = "2026-04-21T14:00:00Z",
                labReports = new[] { "p-1" },
                reason = "The laboratory finds more",
            }
        );
        Assert.Equal(
            // 0.59 m³ were spread with a known content.
            2.36 + 0.59 * 0.4,
            Assert
                .Single(preview.GetProperty("changes").EnumerateArray())
                .GetProperty("after")
                .Number("totalNitrogenKilograms"),
            1e-5
        );
        Assert.StartsWith(
            "Samples on 1 day: a test needs 3 days",
            Assert.Single(preview.GetProperty("warnings").EnumerateArray()).GetString(),
            StringComparison.Ordinal
        );

        using var unknown = await Client.GetAsync($"{Results}/pairs?sensor=nose&analyte=totalNitrogen");
        Assert.Contains("Known: nir", await unknown.Content.ReadAsStringAsync(), StringComparison.Ordinal);
    }

    private async Task<JsonElement> PostAsync(string address, object body)
    {
        using var response = await Client.PostAsJsonAsync(address, body);
        Assert.True(response.IsSuccessStatusCode, await response.Content.ReadAsStringAsync());
        return await response.Content.ReadFromJsonAsync<JsonElement>();
    }
}
