using System.Text.Json;
using NutrientLedger.Agronomy.Factors.Files;
using NutrientLedger.Agronomy.Storage.Shapes;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Web.Contracts.Farms;

namespace NutrientLedger.Integration.Tests.Web.Queries.Fields;

/// <summary>
/// A farm with a factor set in its farm file, queried over HTTP; coefficients of the factor file minnesota for dairy
/// manure.
/// </summary>
public class AvailabilityTests(WebTestHost web) : IClassFixture<WebTestHost>
{
    private const string Choice =
        "\"availability\": { \"set\": \"minnesota\", \"fromSeason\": 2026, \"circumstances\": { \"animal\": \"dairy\" } }, \"plans\":";

    private static readonly string Minnesota = ReadPublished("minnesota.json");

    [DatabaseFact]
    public async Task A_chosen_set_makes_available_nitrogen_and_is_named_with_its_scheme_and_coefficients()
    {
        using var farm = new SmallFarm("choosing");
        farm.Write(Choosing(farm, "\"total\"", "\"available\""), SmallFarm.FieldsText);
        await web.Import.ImportAsync(farm.Path, default);
        await web.PostAsync(farm.Spreading(1, 60));

        var balance = await web.Client.AskAsync("/api/farms/choosing/fields/east/balance");

        // 59 intervals of 40 g of nitrogen, half of it available where coulters placed it.
        var (nitrogen, available) = (balance.GetProperty("nitrogen"), balance.GetProperty("availability"));
        Assert.Equal(2.36, nitrogen.Number("spreadKilograms"), 1e-9);
        Assert.Equal(1.18, nitrogen.Number("countedKilograms"), 1e-9);
        Assert.Equal(nitrogen.Number("allowedKilograms") - 1.18, nitrogen.Number("remainingKilograms"), 1e-9);
        Assert.Equal(1.18 / nitrogen.Number("allowedKilograms"), nitrogen.Number("shareOfPlan"), 1e-9);
        Assert.Equal(("minnesota", "total-nitrogen"), (available.Text("set"), available.Text("scheme")));
        Assert.Equal(1, available.GetProperty("nitrogen").Number("shareOfVolume"));
        // 59 intervals of 10 g of phosphorus, 2.291 kg P2O5 a kg P, four fifths available.
        Assert.Equal(0.59 * 2.291 * 0.8, available.GetProperty("p2o5").Number("kilograms"), 1e-9);
        Assert.Contains(
            "total-nitrogen-available/dairy/knife-or-coulter-injection/year-1",
            available.GetProperty("coefficients").EnumerateArray().Select(coefficient => coefficient.Text("name"))
        );
        Assert.Contains(
            "minnesota (total-nitrogen)",
            balance.GetProperty("notes")[0].GetString(),
            StringComparison.Ordinal
        );
        Assert.Contains(
            "ledger begins",
            available.GetProperty("carriedOverNitrogen").Text("reason"),
            StringComparison.Ordinal
        );
    }

    [DatabaseFact]
    public async Task A_choice_is_one_event_and_another_one_for_the_same_season_replaces_it()
    {
        using var farm = new SmallFarm("choosing-again");
        farm.Write(Choosing(farm), SmallFarm.FieldsText);
        Assert.Equal(12, (await web.Import.ImportAsync(farm.Path, default)).Recorded);
        Assert.Equal(12, (await web.Import.ImportAsync(farm.Path, default)).Unchanged);

        farm.Write(Choosing(farm, "dairy", "swine"), SmallFarm.FieldsText);
        Assert.Equal(1, (await web.Import.ImportAsync(farm.Path, default)).Recorded);

        var configuration = (await web.Configurations.ReadAsync("choosing-again", null, default)).Configuration;
        Assert.Equal("swine", configuration.Availability(2026)!.Chosen.Circumstances["animal"]);
    }

    [DatabaseFact]
    public async Task A_farms_own_set_is_stored_whole_and_computes_like_a_published_one()
    {
        using var farm = new SmallFarm("own-coefficients");
        farm.Write(Choosing(farm, "\"minnesota\"", "\"ours.json\""), SmallFarm.FieldsText);
        WriteNextTo(
            farm,
            "ours.json",
            Minnesota.Replace("\"id\": \"minnesota\"", "\"id\": \"ours\"", StringComparison.Ordinal)
        );
        Assert.Empty((await web.Import.ImportAsync(farm.Path, default)).Problems);
        await web.PostAsync(farm.Spreading(1, 60));

        // The file may change or disappear: the choice is in the journal.
        File.Delete(PathNextTo(farm, "ours.json"));
        var available = (await web.Client.AskAsync("/api/farms/own-coefficients/fields/east/balance")).GetProperty(
            "availability"
        );

        Assert.Equal("ours", available.Text("set"));
        Assert.Equal(1.18, available.GetProperty("nitrogen").Number("kilograms"), 1e-9);
    }

    [DatabaseFact]
    public async Task What_is_wrong_in_a_set_of_the_farms_own_is_named_with_its_file_and_line()
    {
        using var farm = new SmallFarm("own-faults");
        farm.Write(Choosing(farm, "\"minnesota\"", "\"ours.json\""), SmallFarm.FieldsText);
        Assert.Contains("ours.json", Assert.Single(await ProblemsAsync()).Problem, StringComparison.Ordinal);

        WriteNextTo(farm, "ours.json", Minnesota);
        Assert.Contains("another id", Assert.Single(await ProblemsAsync()).Problem, StringComparison.Ordinal);

        WriteNextTo(farm, "ours.json", Minnesota.Replace("0.25, \"unit\"", "2.5, \"unit\"", StringComparison.Ordinal));
        var line = Minnesota[..Minnesota.IndexOf("0.25, \"unit\"", StringComparison.Ordinal)].Count(c => c == '\n') + 1;
        Assert.Contains(await ProblemsAsync(), problem => (problem.File, problem.Line) == ("ours.json", line));

        async Task<IReadOnlyList<ImportProblem>> ProblemsAsync() =>
            (await web.Import.ImportAsync(farm.Path, default)).Problems;
    }

    [DatabaseFact]
    public async Task A_farm_without_a_choice_shows_no_available_nutrients()
    {
        using var farm = new SmallFarm("not-choosing");
        await web.Import.ImportAsync(farm.Path, default);

        var balance = await web.Client.AskAsync("/api/farms/not-choosing/fields/west/balance?season=2026");

        Assert.Equal(JsonValueKind.Null, balance.GetProperty("availability").ValueKind);
        Assert.Contains(
            "no availability set chosen",
            balance.GetProperty("notes")[0].GetString(),
            StringComparison.Ordinal
        );
    }

    [DatabaseFact]
    public async Task Every_shape_of_pit_can_be_imported()
    {
        var shapes = new Dictionary<string, PitShape>
        {
            ["\"roundPond\", \"floorDiameterMetres\": 30, \"slopeRunPerRise\": 2.5, \"depthMetres\": 5"] =
                new RoundPond(30_000, 2_500, 5_000),
            ["\"coveredPit\", \"lengthMetres\": 36, \"widthMetres\": 12.2, \"depthMetres\": 5"] = new CoveredPit(
                36_000,
                12_200,
                5_000
            ),
            [
                "\"stageVolumeTable\", \"stages\": [ { \"levelMetres\": 0, \"volumeCubicMetres\": 0 }, { \"levelMetres\": 5, \"volumeCubicMetres\": 900.5 } ]"
            ] = new StageVolumeTable([new(0, 0), new(5_000, 900_500)]),
        };
        using var farm = new SmallFarm("shapes");
        foreach (var (written, shape) in shapes)
        {
            const string tank = "\"roundTank\", \"diameterMetres\": 20, \"depthMetres\": 5";
            farm.Write(farm.FarmText.Replace(tank, written, StringComparison.Ordinal), SmallFarm.FieldsText);
            Assert.Empty((await web.Import.ImportAsync(farm.Path, default)).Problems);
            Assert.Equal(
                shape,
                (await web.Configurations.ReadAsync("shapes", null, default)).Configuration.Pit("tank")!.Shape
            );
        }
    }

    private static string Choosing(SmallFarm farm, string was = "dairy", string becomes = "dairy") =>
        farm
            .FarmText.Replace("\"plans\":", Choice, StringComparison.Ordinal)
            .Replace(was, becomes, StringComparison.Ordinal);

    private static string ReadPublished(string file)
    {
        var agronomy = typeof(PublishedSets).Assembly;
        var name = agronomy
            .GetManifestResourceNames()
            .Single(resource => resource.EndsWith(file, StringComparison.Ordinal));
        using var text = new StreamReader(agronomy.GetManifestResourceStream(name)!);
        return text.ReadToEnd();
    }

    private static string PathNextTo(SmallFarm farm, string file) =>
        Path.Combine(Path.GetDirectoryName(farm.Path)!, file);

    private static void WriteNextTo(SmallFarm farm, string file, string text) =>
        File.WriteAllText(PathNextTo(farm, file), text);
}
