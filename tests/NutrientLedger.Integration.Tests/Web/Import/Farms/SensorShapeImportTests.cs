using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Web.Contracts.Farms;

namespace NutrientLedger.Integration.Tests.Web.Import.Farms;

/// <summary>Mountings of sensors are stored in two shapes; an import adds the newer one only where the file says more than the older one.</summary>
public class SensorShapeImportTests(WebTestHost office) : IClassFixture<WebTestHost>
{
    private static readonly DateTimeOffset Since = new(2025, 10, 1, 0, 0, 0, TimeSpan.FromHours(-5));

    [DatabaseFact]
    public async Task Sensors_stored_in_the_older_shape_are_not_written_anew()
    {
        using var farm = AtPump("older");
        Assert.Equal((11, 0), await ImportAsync(farm));

        Assert.Equal((0, 11), await ImportAsync(farm));
        Assert.Equal([typeof(SensorMounted), typeof(SensorMounted)], await ShapesAsync("older"));
    }

    [DatabaseFact]
    public async Task A_hose_volume_given_later_is_exactly_one_entry_in_the_newer_shape_and_the_older_one_stays()
    {
        using var farm = AtPump("later");
        await ImportAsync(farm);
        Write(farm, "29.4");

        Assert.Equal((1, 10), await ImportAsync(farm));
        Assert.Equal((0, 11), await ImportAsync(farm));
        Assert.Equal(
            [typeof(SensorMounted), typeof(SensorMounted), typeof(SensorMountedWithHose)],
            await ShapesAsync("later")
        );
        Assert.Equal(29_400_000, await HoseAsync("later"));
    }

    [DatabaseFact]
    public async Task Another_hose_volume_is_one_more_entry_and_leaving_it_out_makes_it_unknown_again()
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
        ImportOutcome outcome = await office.Import.ImportAsync(farm.Path, default);
        Assert.Empty(outcome.Problems);
        return (outcome.Recorded, outcome.Unchanged);
    }

    private async Task<IEnumerable<Type>> ShapesAsync(string farmId) =>
        (await office.Registers.ReadAsync(farmId, null, default))
            .Events.Select(recorded => recorded.Event.GetType())
            .Where(type => type == typeof(SensorMounted) || type == typeof(SensorMountedWithHose));

    private async Task<long?> HoseAsync(string farmId) =>
        (await office.Registers.ReadAsync(farmId, null, default))
            .Configuration.SensorFor("drag-line", Since.ToUnixTimeMilliseconds())!
            .HoseMillilitres;
}
