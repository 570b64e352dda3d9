using System.Net;
using System.Text.Json;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Web.Endpoints;

public class QueryApiTests(SpreadTestHost web) : IClassFixture<SpreadTestHost>
{
    private HttpClient Client => web.Client;

    [DatabaseFact]
    public async Task Farms_are_listed_with_what_a_reader_needs_to_ask_on()
    {
        var farm = (await Client.AskAsync("/api/farms")).GetProperty("farms")[0];

        Assert.Equal("asked", farm.Text("farm"));
        Assert.Equal("America/Chicago", farm.Text("timeZone"));
        Assert.Equal("10-01", farm.Text("seasonBegins"));
        Assert.Equal(2026, farm.GetProperty("plannedSeasons")[0].GetInt32());
    }

    [DatabaseFact]
    public async Task Fields_come_with_their_outlines_in_degrees_and_their_area()
    {
        var fields = (await Client.AskAsync("/api/farms/asked/fields")).GetProperty("fields");

        Assert.Equal(2, fields.GetArrayLength());
        var boundary = fields[0].GetProperty("boundaries")[0];
        Assert.Equal("2025-10-01T00:00:00-05:00", boundary.Text("from"));
        var ring = boundary.GetProperty("rings")[0];
        Assert.Equal(5, ring.GetArrayLength());
        Assert.Equal(-91.012, ring[0][0].GetDouble(), 1e-9);
        // 0.002° × 0.002° at 43° N: 222.2 m by 163.1 m.
        Assert.Equal(222.2 * 163.1, boundary.Number("squareMetres"), 50.0);
    }

    [DatabaseFact]
    public async Task A_balance_holds_what_was_spread_against_the_plan()
    {
        var balance = await Client.AskAsync("/api/farms/asked/fields/east/balance");

        Assert.Equal(2026, balance.GetProperty("season").GetInt32());
        Assert.Equal("oats", balance.Text("crop"));
        // 59 intervals of 10 L at 4 g/L total nitrogen and 1 g/L phosphorus, 2.291 kg P2O5 a kg P.
        Assert.Equal(0.59, balance.Number("volumeCubicMetres"), 1e-9);
        var nitrogen = balance.GetProperty("nitrogen");
        Assert.Equal(2.36, nitrogen.Number("spreadKilograms"), 1e-9);
        var area = balance.Number("fieldSquareMetres");
        Assert.Equal(160 * area / 10_000, nitrogen.Number("allowedKilograms"), 1e-6);
        Assert.Equal(160 * area / 10_000 - 2.36, nitrogen.Number("remainingKilograms"), 1e-6);
        Assert.Equal(0.59 * 2.291, balance.GetProperty("p2o5").Number("spreadKilograms"), 1e-9);
        Assert.Equal(JsonValueKind.Null, balance.GetProperty("k2o").GetProperty("allowedKilograms").ValueKind);
        Assert.Equal(1.18, balance.GetProperty("elemental").Number("ammoniumNitrogenKilograms"), 1e-9);
        Assert.Equal(0.59 * 2.291, balance.GetProperty("elemental").Number("p2o5Kilograms"), 1e-9);
        // 59 s at about 2 m/s and 12 m, in cells of about a square metre.
        Assert.Equal(59 * 2 * 12, balance.Number("coveredSquareMetres"), 40.0);
        Assert.Equal("2026-04-21T14:01:00+00:00", balance.Text("lastMeasuredAt"));
    }

    [DatabaseFact]
    public async Task A_balance_as_of_an_earlier_position_is_what_was_known_then()
    {
        var before = await Client.AskAsync($"/api/farms/asked/fields/east/balance?asOf={web.BeforeSecondBatch}");

        Assert.Equal(0.29, before.Number("volumeCubicMetres"), 1e-9);
    }

    [DatabaseFact]
    public async Task A_position_is_read_only_where_an_answer_depends_on_it()
    {
        // Devices are listed as they are now.
        var devices = await Client.AskAsync("/api/farms/asked/devices?asOf=0");

        Assert.Equal(2, devices.GetProperty("devices").GetArrayLength());
    }

    [DatabaseFact]
    public async Task A_plan_in_available_nitrogen_is_not_guessed_at()
    {
        var balance = await Client.AskAsync("/api/farms/asked/fields/west/balance?season=2026");

        Assert.Equal(JsonValueKind.Null, balance.GetProperty("nitrogen").GetProperty("remainingKilograms").ValueKind);
        Assert.Contains(
            "no availability set chosen",
            balance.GetProperty("notes")[0].GetString(),
            StringComparison.Ordinal
        );
    }

    [DatabaseFact]
    public async Task Applications_name_day_applicator_pit_and_method()
    {
        var applications = (await Client.AskAsync("/api/farms/asked/fields/east/applications")).GetProperty(
            "applications"
        );

        var one = Assert.Single(applications.EnumerateArray());
        Assert.Equal(("2026-04-21", "drag-line", "tank"), (one.Text("day"), one.Text("applicator"), one.Text("pit")));
        Assert.Equal("closedSlotInjection", one.Text("method"));
        Assert.Equal("2026-04-21T09:00:00-05:00", one.Text("firstHour"));
        Assert.Equal(0.59, one.Number("volumeCubicMetres"), 1e-9);
    }

    [DatabaseFact]
    public async Task Pits_show_level_and_volume_beside_what_the_meters_drew()
    {
        var pit = (await Client.AskAsync("/api/farms/asked/pits")).GetProperty("pits")[0];

        Assert.Equal(3.2, pit.Number("levelMetres"), 1e-9);
        Assert.Equal(Math.PI * 100 * 3.2, pit.Number("volumeCubicMetres"), 1e-6);
        Assert.Equal(3.2 / 4.5, pit.Number("shareFull"), 1e-9);
        Assert.Equal(0.59, pit.Number("drawnByMeterCubicMetres"), 1e-9);
    }

    [DatabaseFact]
    public async Task An_inventory_goes_hour_by_hour_between_two_moments()
    {
        const string inventory = "/api/farms/asked/pits/tank/inventory";

        var whole = await Client.AskAsync(inventory);
        Assert.Equal(1, whole.GetProperty("levels").GetArrayLength());
        Assert.Equal("2026-04-21T09:00:00-05:00", whole.GetProperty("levels")[0].Text("hourStart"));
        var later = await Client.AskAsync($"{inventory}?from=2026-04-21T15:00:00Z");
        Assert.Equal(0, later.GetProperty("levels").GetArrayLength());
        Assert.Equal(0, later.GetProperty("pit").Number("drawnByMeterCubicMetres"));
    }

    [DatabaseFact]
    public async Task Devices_are_listed_with_what_is_missing()
    {
        var devices = (await Client.AskAsync("/api/farms/asked/devices")).GetProperty("devices").EnumerateArray();

        var line = Assert.Single(devices, device => device.Text("equipment") == "drag-line");
        Assert.Equal(60, line.GetProperty("readingsStored").GetInt64());
        Assert.Equal(0, line.GetProperty("missingReadings").GetInt64());
        var level = Assert.Single(
            (await Client.AskAsync("/api/farms/asked/devices")).GetProperty("devices").EnumerateArray(),
            device => device.Text("equipment") == "tank-level"
        );
        Assert.Equal(3, level.GetProperty("missingReadings").GetInt64());
        var gap = Assert.Single(level.GetProperty("gaps").EnumerateArray());
        Assert.Equal((2, 4, 3), (gap.Number("firstSeq"), gap.Number("lastSeq"), gap.Number("missingReadings")));
        Assert.Equal(SmallFarm.Morning.AddMinutes(1), gap.GetProperty("measuredBefore").GetDateTimeOffset());
        Assert.Equal(SmallFarm.Morning.AddMinutes(5), gap.GetProperty("measuredAfter").GetDateTimeOffset());
        Assert.InRange(
            gap.GetProperty("knownSince").GetDateTimeOffset(),
            DateTimeOffset.UtcNow.AddHours(-1),
            DateTimeOffset.UtcNow
        );
        Assert.Equal(System.Text.Json.JsonValueKind.Null, gap.GetProperty("meteredCubicMetres").ValueKind);
    }

    [DatabaseFact]
    public async Task The_configuration_is_listed_event_by_event()
    {
        var events = (await Client.AskAsync("/api/farms/asked/configuration")).GetProperty("events");

        Assert.Equal(11, events.GetArrayLength());
        Assert.Equal("farm_registered", events[0].Text("name"));
        Assert.Equal("Small Farm", events[0].GetProperty("event").Text("name"));
    }

    [DatabaseFact]
    public async Task Rejected_messages_are_listed_with_the_reason()
    {
        var rejected = (await Client.AskAsync("/api/rejected?limit=5")).GetProperty("rejected");

        var one = Assert.Single(rejected.EnumerateArray());
        Assert.Equal(
            ("agri/v1/asked/drag-line/spread", "not SenML", 3),
            (one.Text("topic"), one.Text("reason"), one.GetProperty("bytes").GetInt32())
        );
    }

    [DatabaseTheory]
    [InlineData(404, "/api/farms/nowhere/fields", "There is no farm \"nowhere\". Known farms: asked.")]
    [InlineData(
        404,
        "/api/farms/asked/fields/north/balance",
        "Farm \"asked\" has no field \"north\". Known: east, west."
    )]
    [InlineData(404, "/api/farms/asked/pits/lagoon/inventory", "Farm \"asked\" has no pit \"lagoon\". Known: tank.")]
    [InlineData(404, "/api/live?farm=nowhere", "There is no farm \"nowhere\". Known farms: asked.")]
    [InlineData(
        400,
        "/api/farms/asked/fields/east/balance?season=spring",
        "\"spring\" is not a valid season. Write the year"
    )]
    [InlineData(
        400,
        "/api/farms/asked/fields/east/balance?asOf=-1",
        "\"-1\" is not a valid asOf. Write a journal position from 0 to"
    )]
    [InlineData(400, "/api/farms/asked/fields/east/balance?asOf=99999999", "\"99999999\" is not a valid asOf.")]
    [InlineData(
        400,
        "/api/farms/asked/fields/east/balance?asOf=0",
        "Farm \"asked\" was registered after this position. Use a higher one."
    )]
    [InlineData(400, "/api/farms/asked/pits/tank/inventory?from=noon", "\"noon\" is not a valid from. Write a time")]
    [InlineData(400, "/api/rejected?limit=0", "\"0\" is not a valid limit.")]
    public async Task An_invalid_query_says_what_to_ask_instead(int status, string address, string words) =>
        Assert.Contains(words, await Client.ProblemAsync((HttpStatusCode)status, address), StringComparison.Ordinal);
}
