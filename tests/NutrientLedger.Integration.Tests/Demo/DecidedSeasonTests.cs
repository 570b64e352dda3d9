using System.Net.Http.Json;
using System.Text.Json;
using System.Text.Json.Nodes;
using NutrientLedger.Demo;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Persistence.Messages;
using NutrientLedger.Telemetry;

namespace NutrientLedger.Integration.Tests.Demo;

/// <summary>
/// Some days of the recorded season, among them the one with the clock in the year 2000, under people's decisions
/// (tests/recompute/decided.json). The hub and the independent program in Python compute the same ledger.
/// </summary>
public sealed class DecidedSeasonTests(WebTestHost web) : IClassFixture<WebTestHost>
{
    private const int BatchSize = 500;

    [DatabaseFact]
    public async Task Voids_and_decided_clocks_are_posted_as_in_the_recomputation()
    {
        var decided = JsonNode.Parse(
            await File.ReadAllTextAsync(Path.Combine(ExpectedSeason.Folder, "../tests/recompute/decided.json"))
        )!;
        await AppendAsync([.. decided["streams"]!.AsArray().Select(name => (string)name!)]);
        var undecided = await LinesAsync();
        // The drag line's clock was wrong for twelve minutes (truth.json: clockWrong); its many messages are one
        // stretch.
        var questionable = (
            await web.Client.AskAsync($"/api/farms/{PostedLedger.Farm}/questionable-times")
        ).GetProperty("questionableTimes");
        var range = Assert.Single(questionable.EnumerateArray());
        Assert.Equal(
            ("drag-line", 5, 1, 720),
            (range.Text("equipment"), range.Number("boot"), range.Number("firstSeq"), range.Number("lastSeq"))
        );

        await DecideAsync(decided["decisions"]!.AsArray());

        await web.PostedAsync();
        var posted = await web.Ledgers.ReadAsync(PostedLedger.Farm, season: null, asOf: null, default);
        ExpectedSeason.AssertSame(posted, ExpectedSeason.Decided);
        Assert.NotEqual(undecided, posted.Lines.Values.Sum(line => line.VolumeMillilitres));
        var levels = await web.Ledgers.LevelsAsync(PostedLedger.Farm, "north-basin", null, null, null, default);
        ExpectedSeason.AssertSame("north-basin", levels.Select(level => level.Hour), ExpectedSeason.Decided);
        Assert.Empty(
            (await web.Client.AskAsync($"/api/farms/{PostedLedger.Farm}/questionable-times"))
                .GetProperty("questionableTimes")
                .EnumerateArray()
        );
    }

    /// <summary>
    /// Imports the farm and stores the messages of some files in the order of sending, as they came over the wire.
    /// </summary>
    private async Task AppendAsync(string[] streams)
    {
        var farm = Path.Combine(ExpectedSeason.Folder, DemoStreams.FarmFile);
        Assert.Empty((await web.Import.ImportAsync(farm, default)).Problems);
        var messages = new List<(DemoMessage Message, string Stream)>();
        foreach (var stream in streams.Order(StringComparer.Ordinal))
        await foreach (
            var message in DemoStreams.ReadAsync([Path.Combine(ExpectedSeason.Folder, "streams", $"{stream}.jsonl.gz")])
        )
            messages.Add((message, stream));
        foreach (var batch in messages.OrderBy(it => it.Message.SendAtMilliseconds).Chunk(BatchSize))
            await web.AppendAsync([.. batch.Select(it => Arrived(it.Message))]);
        await web.PostedAsync();
    }

    private static DecodedMessage Arrived(DemoMessage message)
    {
        var read = Assert.IsType<DecodeResult.Decoded>(MessageDecoder.Decode(message.Topic, null, message.Payload));
        return new(read.FarmId, read.Event, message.Topic, message.Payload);
    }

    /// <summary>
    /// Posts each decision as a person would. A withdrawal names the void by its place in the list, from 1.
    /// </summary>
    private async Task DecideAsync(JsonArray decisions)
    {
        var ids = new List<string?>();
        foreach (var decision in decisions.Select(it => (JsonObject)it!.DeepClone()))
        {
            var withdraws = (int?)decision["withdraws"];
            decision.Remove("withdraws");
            decision["reason"] = "Looked up in the day's notes";
            decision["by"] = "J. Larch";
            var where =
                withdraws is { } place ? $"voids/{ids[place - 1]}/withdraw"
                : decision.ContainsKey("part") ? "voids"
                : "questionable-times/decide";
            using var response = await web.Client.PostAsJsonAsync($"/api/farms/{PostedLedger.Farm}/{where}", decision);
            Assert.True(response.IsSuccessStatusCode, await response.Content.ReadAsStringAsync());
            ids.Add((await response.Content.ReadFromJsonAsync<JsonElement>()).Text("id"));
        }
    }

    private async Task<long> LinesAsync() =>
        (await web.Ledgers.ReadAsync(PostedLedger.Farm, season: null, asOf: null, default)).Lines.Values.Sum(line =>
            line.VolumeMillilitres
        );
}
