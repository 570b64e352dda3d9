using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Web.Contracts.Farms;

namespace NutrientLedger.Integration.Tests.Web.Import.Farms;

/// <summary>A hose volume that changes in the farm file is one more event and replaces the mounting.</summary>
public class HoseImportTests(WebTestHost web) : IClassFixture<WebTestHost>
{
    private static readonly DateTimeOffset Since = new(2025, 10, 1, 0, 0, 0, TimeSpan.FromHours(-5));

    [DatabaseFact]
    public async Task The_same_sensors_are_not_recorded_again()
    {
        using var farm = AtPump("older");
        Assert.Equal((11, 0), await ImportAsync(farm));

        Assert.Equal((0, 11), await ImportAsync(farm));
        Assert.Equal([null, null], await HosesAsync("older"));
    }

    [DatabaseFact]
    public async Task A_hose_volume_given_later_is_exactly_one_more_event()
    {
        using var farm = AtPump("later");
        await ImportAsync(farm);
        Write(farm, "29.4");

        Assert.Equal((1, 10), await ImportAsync(farm));
        Assert.Equal((0, 11), await ImportAsync(farm));
        Assert.Equal([null, 29_400_000], await HosesAsync("later"));
        Assert.Equal(29_400_000, await HoseAsync("later"));
    }

    [DatabaseFact]
    public async Task Another_hose_volume_is_one_more_event_and_leaving_it_out_makes_it_unknown_again()
    {
        using var farm = AtPump("taken-back");
        Write(farm, "29.4");
        Assert.Equal((11, 0), await ImportAsync(farm));

        Write(farm, "31.0005");
        Assert.Equal((1, 10), await ImportAsync(farm));
        Assert.Equal(31_000_500, await HoseAsync("taken-back"));

        Write(farm, hose: null);
        Assert.Equal((1, 10), await ImportAsync(farm));
        Assert.Equal((0, 11), await ImportAsync(farm));
        Assert.Null(await HoseAsync("taken-back"));
    }

    private static SmallFarm AtPump(string id)
    {
        var farm = new SmallFarm(id);
        Write(farm, hose: null);
        return farm;
    }

    private static void Write(SmallFarm farm, string? hose) =>
        farm.Write(
            farm.FarmText.Replace(
                "\"place\": \"onApplicator\"",
                "\"place\": \"atPump\"" + (hose is null ? "" : $", \"hoseVolumeCubicMetres\": {hose}"),
                StringComparison.Ordinal
            ),
            SmallFarm.FieldsText
        );

    private async Task<(int Recorded, int Unchanged)> ImportAsync(SmallFarm farm)
    {
        ImportOutcome outcome = await web.Import.ImportAsync(farm.Path, default);
        Assert.Empty(outcome.Problems);
        return (outcome.Recorded, outcome.Unchanged);
    }

    private async Task<IEnumerable<long?>> HosesAsync(string farmId) =>
        (await web.Configurations.ReadAsync(farmId, null, default)).Configuration.Sensors.Select(sensor =>
            sensor.HoseMillilitres
        );

    private async Task<long?> HoseAsync(string farmId) =>
        (await web.Configurations.ReadAsync(farmId, null, default))
            .Configuration.SensorFor("drag-line", Since.ToUnixTimeMilliseconds())!
            .HoseMillilitres;
}
