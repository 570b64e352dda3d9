using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Integration.Tests.Web.Commands;

namespace NutrientLedger.Integration.Tests.Web.Endpoints;

public class CalibrationApiTests(SpreadTestHost web) : IClassFixture<SpreadTestHost>
{
    private const string Calibrations = "/api/farms/asked/calibrations";

    private HttpClient Client => web.Client;

    [DatabaseFact]
    public async Task A_calibration_is_previewed_adopted_used_in_the_next_response_and_withdrawn()
    {
        var sensor = await SensorAsync();
        Assert.Equal(2.36, await NitrogenAsync(), 1e-9);

        using (var early = await Client.PostAsJsonAsync(Calibrations, Adoption("n-1", sensor)))
            Assert.Contains(
                "no laboratory report r-1",
                await early.Content.ReadAsStringAsync(),
                StringComparison.Ordinal
            );
        await PostAsync("/api/farms/asked/lab-results", LabResultTests.Report("r-1", 36m));

        // 59 intervals of 10 L: 1.1 × 2.36 kg − 0.05 kg/m³ × 0.59 m³.
        var preview = await PostAsync($"{Calibrations}/preview", Adoption("n-1", sensor));
        var change = Assert.Single(preview.GetProperty("changes").EnumerateArray());
        Assert.Equal("east", change.Text("field"));
        Assert.Equal(2.36, change.GetProperty("before").Number("totalNitrogenKilograms"), 1e-9);
        Assert.Equal(2.5665, change.GetProperty("after").Number("totalNitrogenKilograms"), 1e-9);
        Assert.Equal(2.36, await NitrogenAsync(), 1e-9);

        await PostAsync(Calibrations, Adoption("n-1", sensor));
        Assert.Equal(2.5665, await NitrogenAsync(), 1e-9);
        var balance = await Client.AskAsync("/api/farms/asked/fields/east/balance");
        Assert.Equal(2.36, balance.GetProperty("elementalAsMeasured").Number("totalNitrogenKilograms"), 1e-9);
        Assert.Equal(
            2.36,
            (await Client.AskAsync($"/api/farms/asked/fields/east/balance?asOf={await PositionBeforeAsync("n-1")}"))
                .GetProperty("nitrogen")
                .Number("spreadKilograms"),
            1e-9
        );

        await PostAsync($"{Calibrations}/n-1/withdraw", new { by = "Ada Ash", reason = "Sample mixed up" });
        Assert.Equal(2.36, await NitrogenAsync(), 1e-9);
        var listed = Assert.Single((await Client.AskAsync(Calibrations)).GetProperty("calibrations").EnumerateArray());
        Assert.Equal("Sample mixed up", listed.Text("withdrawnReason"));
        using var again = await Client.PostAsJsonAsync(Calibrations, Adoption("n-1", sensor));
        Assert.Equal(HttpStatusCode.Conflict, again.StatusCode);
    }

    [DatabaseFact]
    public async Task Every_error_of_a_calibration_is_named_at_once()
    {
        using var response = await Client.PostAsJsonAsync(
            Calibrations,
            new
            {
                sensor = "unknown",
                analyte = "sulphur",
                slope = -1,
                validFrom = "2026-04-21T14:30:00Z",
            }
        );

        Assert.Equal(HttpStatusCode.BadRequest, response.StatusCode);
        var detail = (await response.Content.ReadFromJsonAsync<JsonElement>()).Text("detail")!;
        Assert.All(
            new[] { "calibration:", "by:", "reason:", "sensor:", "analyte:", "slope:", "full hour" },
            fault => Assert.Contains(fault, detail, StringComparison.Ordinal)
        );
    }

    private static object Adoption(string id, string sensor) =>
        new
        {
            calibration = id,
            sensor,
            analyte = "totalNitrogen",
            slope = 1.1,
            interceptMilligramsPerLitre = -50,
            validFrom = "2026-04-21T14:00:00Z",
            labReports = new[] { "r-1" },
            by = "Ada Ash",
            reason = "Laboratory finds more",
        };

    private async Task<JsonElement> PostAsync(string address, object body)
    {
        using var response = await Client.PostAsJsonAsync(address, body);
        Assert.True(response.IsSuccessStatusCode, await response.Content.ReadAsStringAsync());
        return await response.Content.ReadFromJsonAsync<JsonElement>();
    }

    private async Task<double> NitrogenAsync() =>
        (await Client.AskAsync("/api/farms/asked/fields/east/balance"))
            .GetProperty("nitrogen")
            .Number("spreadKilograms");

    private async Task<long> PositionBeforeAsync(string id) =>
        (await Client.AskAsync(Calibrations))
            .GetProperty("calibrations")
            .EnumerateArray()
            .Single(known => known.Text("calibration") == id)
            .GetProperty("position")
            .GetInt64() - 1;

    private async Task<string> SensorAsync() =>
        (await Client.AskAsync("/api/farms/asked/configuration"))
            .GetProperty("events")
            .EnumerateArray()
            .First(@event =>
                @event.Text("name") == "sensor_mounted" && @event.GetProperty("event").Text("place") == "onApplicator"
            )
            .GetProperty("event")
            .Text("sensorId")!;
}
