using System.Text.Json;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Persistence.Messages;
using NutrientLedger.Web.Contracts.Farms;
using NutrientLedger.Web.Import.Farms;

namespace NutrientLedger.Integration.Tests.Web.Import.Farms;

/// <summary>
/// Slips in a farm file that are taken back after the work. A drag line spreads 59 intervals of 10 L with 4 g/L of
/// nitrogen on field East, a wagon 29.
/// </summary>
public class WithdrawalImportTests(WebTestHost web) : IClassFixture<WebTestHost>
{
    private const string Sensor = """
        { "id": "nir", "equipment": "drag-line", "place": "onApplicator", "host": "drag-line", "from": "2025-10-01T00:00:00-05:00" },
        """;

    private static readonly Withdrawal Slip = new("Never sat there", "Ada Ash");

    [DatabaseFact]
    public async Task A_sensor_on_the_wrong_machine_credits_only_the_right_one_after_the_corrected_import()
    {
        using var farm = await WorkedAsync("wrong-machine");
        Assert.Equal(0.59 * 4, await NitrogenAsync(farm), 1e-9);

        await ImportAsync(farm, Text(farm, Sensor.Replace("drag-line", "wagon", StringComparison.Ordinal)));

        var statement = await StatementAsync(farm, 1);
        Assert.Equal(0.29 * 4, await NitrogenAsync(farm), 1e-9);
        Assert.Equal(
            "Sensor nir mounted on wagon from 2025-10-01 00:00 -05:00 on, instead of drag-line.",
            statement.Text("whatMetric")
        );
        await SameAsPostedAgainAsync(farm, statements: 1);
    }

    [DatabaseFact]
    public async Task An_entry_left_out_is_named_and_stays_until_it_is_withdrawn()
    {
        using var farm = await WorkedAsync("left-out");
        var journal = await web.PostedAsync();

        var named = await ImportAsync(farm, Text(farm, sensor: ""));
        Assert.Equal(["sensor nir on drag-line from 2025-10-01 00:00 -05:00"], named.NotInFile);
        Assert.Equal((0, 0), (named.Recorded, named.Withdrawn.Count));
        Assert.Equal(0.59 * 4, await NitrogenAsync(farm), 1e-9);

        var withdrawn = await ImportAsync(farm, Text(farm, sensor: ""), Slip);
        Assert.Equal(named.NotInFile, withdrawn.Withdrawn);
        Assert.Empty(withdrawn.NotInFile);
        var statement = await StatementAsync(farm, 1);
        Assert.Equal(0, await NitrogenAsync(farm));
        Assert.Equal("Withdrawn: sensor nir on drag-line from 2025-10-01 00:00 -05:00.", statement.Text("whatMetric"));
        Assert.Equal(("Never sat there", "Ada Ash"), (statement.Text("reason"), statement.Text("by")));
        await SameAsPostedAgainAsync(farm, statements: 1);

        // What was in force then is still known, and an entry imported again is in force again.
        Assert.Equal(["level", "nir"], await SensorsAsync(farm, journal));
        Assert.Equal(["level"], await SensorsAsync(farm, asOf: null));
        Assert.Equal(1, (await ImportAsync(farm, Text(farm, Sensor))).Recorded);
        await StatementAsync(farm, 2);
        Assert.Equal(0.59 * 4, await NitrogenAsync(farm), 1e-9);
        Assert.Equal(0, (await ImportAsync(farm, Text(farm, Sensor), Slip)).Recorded);
    }

    [DatabaseFact]
    public async Task Only_what_is_called_so_is_withdrawn_and_the_rest_stays_named()
    {
        using var farm = new SmallFarm("only");
        await ImportAsync(farm, Text(farm, Sensor));
        var pruned = Text(farm, sensor: "").Replace("\"season\": 2026", "\"season\": 2027", StringComparison.Ordinal);

        var outcome = await ImportAsync(farm, pruned, Slip with { Only = "Sensor nir" });
        Assert.Equal(["sensor nir on drag-line from 2025-10-01 00:00 -05:00"], outcome.Withdrawn);
        Assert.Equal(["plan of field east for 2026", "plan of field west for 2026"], outcome.NotInFile);

        var problem = Assert.Single(
            (await web.Import.ImportAsync(farm.Path, Slip with { Only = "nir" }, default)).Problems
        );
        Assert.Contains("nothing to take back that is called \"nir\"", problem.Problem, StringComparison.Ordinal);
        Assert.Contains("plan of field west for 2026", problem.Problem, StringComparison.Ordinal);
    }

    [DatabaseFact]
    public async Task A_sensor_under_another_id_in_the_same_place_needs_the_first_one_withdrawn()
    {
        using var farm = await WorkedAsync("renamed-sensor");
        farm.Write(Text(farm, Sensor.Replace("nir", "nir-2", StringComparison.Ordinal)), SmallFarm.FieldsText);

        var problem = Assert.Single((await web.Import.ImportAsync(farm.Path, default)).Problems);
        Assert.Contains("sensors \"nir\" and \"nir-2\" would both count", problem.Problem, StringComparison.Ordinal);
        Assert.Contains("--withdraw", problem.Problem, StringComparison.Ordinal);

        Assert.Empty((await web.Import.ImportAsync(farm.Path, Slip, default)).Problems);
        Assert.Equal(["level", "nir-2"], await SensorsAsync(farm, asOf: null));
    }

    [DatabaseFact]
    public async Task A_field_left_out_and_withdrawn_gives_its_lines_to_the_ground_outside()
    {
        using var farm = await WorkedAsync("field-out");
        var west = SmallFarm.FieldsText.Replace("\"east\"", "\"sunrise\"", StringComparison.Ordinal);
        var plans = Text(farm, Sensor)
            .Replace("\"field\": \"east\"", "\"field\": \"sunrise\"", StringComparison.Ordinal);
        farm.Write(plans, west);

        var overlap = Assert.Single((await web.Import.ImportAsync(farm.Path, default)).Problems);
        Assert.Contains("take back \"east\" with --withdraw", overlap.Problem, StringComparison.Ordinal);

        var outcome = await web.Import.ImportAsync(farm.Path, Slip, default);
        Assert.Equal(
            ["boundary of field east from 2025-10-01", "plan of field east for 2026"],
            outcome.Withdrawn.Order()
        );
        await StatementAsync(farm, 3);
        var balance = await web.Client.AskAsync($"/api/farms/{farm.Id}/fields/sunrise/balance");
        Assert.Equal(0.59 + 0.29, balance.Number("volumeCubicMetres"), 1e-9);
        await SameAsPostedAgainAsync(farm, statements: 3);
    }

    [DatabaseFact]
    public async Task A_redraw_is_taken_back_by_the_boundary_before_it_and_history_stays()
    {
        using var farm = new SmallFarm("redraws");
        await ImportAsync(farm, farm.FarmText);
        var redrawn = Redrawn("2026-03-01");
        Assert.Empty((await ImportAsync(farm, farm.FarmText, fields: redrawn)).NotInFile);

        Assert.Equal(
            ["boundary of field east from 2026-03-01"],
            (await ImportAsync(farm, farm.FarmText, fields: SmallFarm.FieldsText)).NotInFile
        );
        Assert.Equal(
            ["boundary of field east from 2026-03-01"],
            (await ImportAsync(farm, farm.FarmText, fields: Redrawn("2026-03-15"))).NotInFile
        );
        Assert.Equal(3, (await BoundariesAsync(farm)).Length);

        await ImportAsync(farm, farm.FarmText, Slip, Redrawn("2026-03-15"));
        Assert.Equal(2, (await BoundariesAsync(farm)).Length);
        await ImportAsync(farm, farm.FarmText, Slip, SmallFarm.FieldsText);
        Assert.Single(await BoundariesAsync(farm));
    }

    private static string Redrawn(string day) =>
        SmallFarm
            .FieldsText.Replace("-91.012", "-91.0125", StringComparison.Ordinal)
            .Replace(
                "\"East\"",
                $"\"East\", \"validFrom\": \"{day}\", \"changeReason\": \"fence moved\"",
                StringComparison.Ordinal
            );

    private async Task<SmallFarm> WorkedAsync(string id)
    {
        var farm = new SmallFarm(id);
        await ImportAsync(farm, Text(farm, Sensor));
        await web.PostAsync(farm.Spreading(1, 60));
        var batch = ((SpreadingMeasured)farm.Spreading(1, 30).Event).Batch;
        await web.PostAsync(
            new DecodedMessage(
                id,
                new SpreadingMeasured(batch with { EquipmentId = "wagon" }),
                $"agri/v1/{id}/wagon",
                ReadOnlyMemory<byte>.Empty
            )
        );
        return farm;
    }

    /// <summary>The small farm with a wagon, and its content sensor as given.</summary>
    private static string Text(SmallFarm farm, string sensor)
    {
        var text = farm.FarmText.Replace(
            "\"applicators\": [",
            """
            "applicators": [
                { "id": "wagon", "name": "Wagon", "kind": "tankWagon", "workingWidthMetres": 12, "meterCounts": "spreading" },
            """,
            StringComparison.Ordinal
        );
        Assert.Contains(Sensor.Trim(), text, StringComparison.Ordinal);
        return text.Replace(Sensor.Trim(), sensor.Trim(), StringComparison.Ordinal);
    }

    private async Task<FarmImportOutcome> ImportAsync(
        SmallFarm farm,
        string text,
        Withdrawal? withdrawal = null,
        string? fields = null
    )
    {
        farm.Write(text, fields ?? SmallFarm.FieldsText);
        var outcome = await web.Import.ImportAsync(farm.Path, withdrawal, default);
        Assert.Empty(outcome.Problems);
        await web.PostedAsync();
        return outcome;
    }

    private async Task<double> NitrogenAsync(SmallFarm farm) =>
        (await web.Client.AskAsync($"/api/farms/{farm.Id}/fields/east/balance"))
            .GetProperty("elemental")
            .Number("totalNitrogenKilograms");

    private async Task<string[]> SensorsAsync(SmallFarm farm, long? asOf) =>
        [
            .. (await web.Configurations.ReadAsync(farm.Id, asOf, default))
                .Configuration.Sensors.Select(sensor => sensor.SensorId)
                .Order(),
        ];

    private async Task<object[]> BoundariesAsync(SmallFarm farm) =>
        [
            .. (await web.Configurations.ReadAsync(farm.Id, null, default))
                .Configuration.Field("east")!
                .Boundaries.Changes,
        ];

    /// <summary>Waits for the farm's statement of this number and for the ledger it states.</summary>
    private async Task<JsonElement> StatementAsync(SmallFarm farm, int number)
    {
        JsonElement[] statements = [];
        await PersistenceTestHost.UntilAsync(async () =>
        {
            var list = await web.Client.AskAsync($"/api/farms/{farm.Id}/statements");
            statements = [.. list.GetProperty("statements").EnumerateArray()];
            var field = statements.Length < number || number == 3 ? "west" : "east";
            var balance = await web.Client.AskAsync($"/api/farms/{farm.Id}/fields/{field}/balance");
            return statements.Length == number && !balance.GetProperty("isBeingCorrected").GetBoolean();
        });
        return statements[^1];
    }

    /// <summary>The audit posts the whole journal again and compares every value.</summary>
    private async Task SameAsPostedAgainAsync(SmallFarm farm, int statements)
    {
        var audit = await web.AuditAsync(farm.Id);
        Assert.Empty(audit.Findings);
        Assert.Equal(statements, audit.Statements);
    }
}
