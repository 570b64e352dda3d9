using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Web.Queries;

public sealed class GapResponseTests : IAsyncLifetime
{
    private readonly WebTestHost web = new();

    public Task InitializeAsync() => web.InitializeAsync();

    public Task DisposeAsync() => web.DisposeAsync();

    [DatabaseFact]
    public async Task Volume_metered_over_a_gap_is_reported_and_placed_once_its_readings_arrive()
    {
        using var farm = new SmallFarm("holed");
        await web.Import.ImportAsync(farm.Path, default);
        await web.PostAsync(farm.Spreading(1, 10));
        await web.PostAsync(farm.Spreading(31, 10));

        var device = await DeviceAsync();
        // Numbers 10 and 31 are 21 seconds of 10 L apart.
        Assert.Equal(0.21, device.Number("meteredInGapsCubicMetres"), 1e-9);
        Assert.Equal((1, 20), (device.Number("openGaps"), device.Number("missingReadings")));
        Assert.Equal(0.21, device.GetProperty("gaps")[0].Number("meteredCubicMetres"), 1e-9);
        var before = await VolumeAsync();

        await web.PostAsync(farm.Spreading(11, 20));
        device = await DeviceAsync();
        Assert.Equal((0, 0), (device.Number("openGaps"), device.Number("missingReadings")));
        Assert.Equal(System.Text.Json.JsonValueKind.Null, device.GetProperty("meteredInGapsCubicMetres").ValueKind);
        Assert.Equal(before + 0.21, await VolumeAsync(), 1e-9);
    }

    private async Task<System.Text.Json.JsonElement> DeviceAsync() =>
        (await web.Client.AskAsync("/api/farms/holed/devices")).GetProperty("devices")[0];

    private async Task<double> VolumeAsync() =>
        (await web.Client.AskAsync("/api/farms/holed/fields/east/balance")).Number("volumeCubicMetres");
}
