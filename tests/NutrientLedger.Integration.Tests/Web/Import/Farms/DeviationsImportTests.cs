using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Integration.Tests.Web.Import.Farms;

public class DeviationsImportTests(WebTestHost web) : IClassFixture<WebTestHost>
{
    [DatabaseFact]
    public async Task A_farms_own_deviations_are_recorded_once_and_a_statement_names_them_from_their_day_on()
    {
        using var farm = new SmallFarm("careful");
        farm.Write(With(farm, "0.004"), SmallFarm.FieldsText);
        Assert.Equal(13, (await web.Import.ImportAsync(farm.Path, default)).Recorded);
        var again = await web.Import.ImportAsync(farm.Path, default);
        Assert.Equal((0, 13), (again.Recorded, again.Unchanged));

        var configuration = (await web.Configurations.ReadAsync("careful", null, default)).Configuration;
        // 3.5 mm are 3,500,000 millionths of a millimetre; a share of 0.004 is 4,000 millionths.
        Assert.Equal(
            [
                new DefaultDeviationsSet(
                    null,
                    new(2026, 4, 21),
                    [new(PitMeasurement.FlowMeter, 4_000, "weighbridge runs")]
                ),
                new DefaultDeviationsSet(
                    "tank",
                    new(2026, 4, 22),
                    [new(PitMeasurement.LevelSensor, 3_500_000, "a ruler")]
                ),
            ],
            configuration.Recorded<DefaultDeviationsSet>()
        );

        await web.PostAsync(farm.Spreading(1, 30));
        var meter = await MeasurementAsync("2026-04-21", "2026-04-22", "the flow meter of drag-line");
        Assert.Equal("the farm's own, from weighbridge runs", meter.Text("knownFrom"));
        // 0.4 % of 0.29 m³ is 1.16 L.
        Assert.Equal(0.00116, meter.Number("deviationCubicMetres"), 1e-9);
        await web.PostAsync(farm.Level(1, 3_100));
        await web.PostAsync(farm.Level(300, 3_100));
        var sensor = await MeasurementAsync("2026-04-21", "2026-04-22", "the level sensor");
        Assert.StartsWith("from memory", sensor.Text("knownFrom"), StringComparison.Ordinal);
    }

    [DatabaseFact]
    public async Task A_changed_deviation_is_one_more_event_and_the_latest_holds()
    {
        using var farm = new SmallFarm("changing");
        farm.Write(With(farm, "0.004"), SmallFarm.FieldsText);
        await web.Import.ImportAsync(farm.Path, default);

        farm.Write(With(farm, "0.005"), SmallFarm.FieldsText);
        var changed = await web.Import.ImportAsync(farm.Path, default);

        Assert.Equal((1, 12), (changed.Recorded, changed.Unchanged));
        var configuration = (await web.Configurations.ReadAsync("changing", null, default)).Configuration;
        Assert.Equal(5_000, configuration.Recorded<DefaultDeviationsSet>().Last().Deviations[0].Millionths);
    }

    private async Task<System.Text.Json.JsonElement> MeasurementAsync(string from, string to, string measurement)
    {
        var answer = await web.Client.AskAsync($"/api/farms/careful/reconciliations?pit=tank&from={from}&to={to}");
        return answer
            .GetProperty("whole")
            .GetProperty("measurements")
            .EnumerateArray()
            .Single(one => one.Text("name") == measurement);
    }

    private static string With(SmallFarm farm, string share) =>
        farm.FarmText.Replace(
            "\"plans\":",
            $$"""
            "deviations": [
              { "from": "2026-04-21", "given": [{ "of": "flowMeter", "share": {{share}}, "knownFrom": "weighbridge runs" }] },
              { "pit": "tank", "from": "2026-04-22", "given": [{ "of": "levelSensor", "millimetres": 3.5, "knownFrom": "a ruler" }] }
            ],
            "plans":
            """,
            StringComparison.Ordinal
        );
}
