using System.Net;
using System.Net.Http.Json;
using System.Net.ServerSentEvents;
using System.Text.Json;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Web.Endpoints;

/// <summary>
/// Another program replays a farm's ledger over HTTP: starts, follows, cancels, lists and forgets replays.
/// </summary>
public class ReplayApiTests(WebTestHost web) : IClassFixture<WebTestHost>
{
    private const int OverKept = 50;

    [DatabaseFact]
    public async Task A_replay_is_started_followed_to_its_report_and_listed()
    {
        await SpreadAsync("followed");
        // It waits until the follower has received it, or it might be over before that.
        var held = await Phase.HoldAsync(web.Database.ConnectionString, Phase.ShadowTiles);
        var begun = await BeginAsync("followed", null);
        var followed = new TaskCompletionSource();
        var follower = FollowAsync(begun.Text("address")!, followed);
        await followed.Task.WaitAsync(WebTestHost.Patience);
        await held.DisposeAsync();
        var events = await follower;
        Assert.Equal("running", begun.Text("state"));
        Assert.Equal(("progress", "report"), (events[0].EventType, events[^1].EventType));
        var last = JsonSerializer.Deserialize<JsonElement>(events[^1].Data);
        Assert.Equal("done", last.Text("state"));
        var report = last.GetProperty("report");
        Assert.Equal(2, report.Number("batches"));
        Assert.True(report.Number("lines") > 0);
        Assert.Empty(report.GetProperty("differences").EnumerateArray());
        Assert.False(report.GetProperty("switched").GetBoolean());
        var progress = last.GetProperty("progress");
        Assert.Equal(2, progress.Number("batches"));
        Assert.Equal(progress.Number("lastPosition"), progress.Number("position"));
        Assert.True(progress.Number("batchesPerSecond") > 0);

        var remembered = await web.Client.AskAsync(begun.Text("address")!);
        Assert.Equal(last.GetRawText(), remembered.GetRawText());
        Assert.Equal(1, await GenerationAsync("followed"));
    }

    [DatabaseFact]
    public async Task A_replay_with_a_switch_replaces_the_live_ledger()
    {
        await SpreadAsync("switched");
        var before = await BalanceAsync("switched");
        var end = await EndAsync(await BeginAsync("switched", new { @switch = true }));
        Assert.True(end.GetProperty("report").GetProperty("switched").GetBoolean());
        Assert.Equal(2, await GenerationAsync("switched"));
        Assert.Equal(1, await GenerationsOfRowsAsync("switched"));
        Assert.Equal(before, await BalanceAsync("switched"));
    }

    [DatabaseFact]
    public async Task A_difference_is_named_in_the_report()
    {
        await SpreadAsync("changed");
        await web.Database.RunAsync("update ledger.line set volume = volume + 1 where farm = 'changed'");
        var end = await EndAsync(await BeginAsync("changed", null));
        Assert.Contains(
            end.GetProperty("report").GetProperty("differences").EnumerateArray(),
            difference => difference.GetString()!.Contains("only live", StringComparison.Ordinal)
        );
    }

    [DatabaseFact]
    public async Task One_replay_at_a_time_runs_for_a_farm_and_a_cancelled_one_leaves_no_row()
    {
        await SpreadAsync("stopped");
        string address;
        await using (await Phase.HoldAsync(web.Database.ConnectionString, Phase.ShadowTiles))
        {
            address = (await BeginAsync("stopped", null)).Text("address")!;
            await WritingAsync();
            using (var second = await web.Client.PostAsync("/api/farms/stopped/replays", null))
            {
                Assert.Equal(HttpStatusCode.Conflict, second.StatusCode);
                Assert.Contains(address, await second.Content.ReadAsStringAsync(), StringComparison.Ordinal);
            }
            var follower = FollowAsync(address);
            using var cancel = await web.Client.DeleteAsync(address);
            Assert.Equal(HttpStatusCode.OK, cancel.StatusCode);
            Assert.Equal("cancelled", (await cancel.Content.ReadFromJsonAsync<JsonElement>()).Text("state"));
            Assert.Contains("cancelled", (await follower)[^1].Data, StringComparison.Ordinal);
        }
        Assert.Equal(1, await GenerationsOfRowsAsync("stopped"));
        Assert.Equal(1, await GenerationAsync("stopped"));

        using (var again = await web.Client.DeleteAsync(address))
            Assert.Equal(HttpStatusCode.Conflict, again.StatusCode);
        Assert.Equal("done", (await EndAsync(await BeginAsync("stopped", null))).Text("state"));
    }

    [DatabaseFact]
    public async Task A_hub_that_stops_cancels_its_replays_and_leaves_no_row()
    {
        await SpreadAsync("ending");
        string address;
        await using (await Phase.HoldAsync(web.Database.ConnectionString, Phase.ShadowTiles))
        {
            address = (await BeginAsync("ending", null)).Text("address")!;
            await WritingAsync();
            var followed = new TaskCompletionSource();
            var follower = FollowAsync(address, followed);
            await followed.Task.WaitAsync(WebTestHost.Patience);
            // Web would wait longer than this for work that does not end by itself.
            await web.StopAsync().WaitAsync(WebTestHost.Patience);
            Assert.Contains("The hub was stopped", (await follower)[^1].Data, StringComparison.Ordinal);
            Assert.Equal(1, await GenerationsOfRowsAsync("ending"));
        }
        await web.StartAsync(port: 0);
        Assert.Contains(
            "until the hub stops",
            await web.Client.ProblemAsync(HttpStatusCode.NotFound, address),
            StringComparison.Ordinal
        );
    }

    [DatabaseFact]
    public async Task A_replay_as_of_a_position_or_a_time_says_what_was_reported_then()
    {
        var (farm, position) = await SpreadAsync("earlier");
        using var _ = farm;
        var at = await EndAsync(await BeginAsync("earlier", new { asOfPosition = position }));
        // 29 intervals of 10 L at 4 g/L, of the first of two batches.
        var field = Assert.Single(at.GetProperty("fields").EnumerateArray());
        Assert.Equal("east", field.Text("field"));
        Assert.Equal(0.29, field.Number("volumeCubicMetres"), 1e-9);
        Assert.Equal(1.16, field.Number("nitrogenKilograms"), 1e-9);
        Assert.Equal(JsonValueKind.Null, at.GetProperty("report").ValueKind);

        var late = await EndAsync(await BeginAsync("earlier", new { asOfTime = "2999-01-01T00:00:00Z" }));
        Assert.Equal(0.59, late.GetProperty("fields")[0].Number("volumeCubicMetres"), 1e-9);
    }

    [DatabaseTheory]
    [InlineData("rejecting", """{"switch":true,"asOfPosition":1}""", HttpStatusCode.BadRequest, "leave out switch")]
    [InlineData(
        "rejecting",
        """{"asOfTime":"2026-05-01T00:00:00Z","asOfPosition":1}""",
        HttpStatusCode.BadRequest,
        "Send one of them"
    )]
    [InlineData("rejecting", """{"asOfPosition":99999999}""", HttpStatusCode.BadRequest, "(the newest)")]
    [InlineData("rejecting", """{"asOfTime":"1999-01-01T00:00:00Z"}""", HttpStatusCode.BadRequest, "registered later")]
    [InlineData("nobody", "{}", HttpStatusCode.NotFound, "Known farms")]
    public async Task What_cannot_be_replayed_is_answered_with_what_to_do(
        string farm,
        string question,
        HttpStatusCode status,
        string whatToDo
    )
    {
        using var known = new SmallFarm("rejecting");
        await web.Import.ImportAsync(known.Path, default);
        using var body = new StringContent(question, null, "application/json");
        using var answer = await web.Client.PostAsync($"/api/farms/{farm}/replays", body);
        Assert.Equal(status, answer.StatusCode);
        Assert.Contains(whatToDo, await answer.Content.ReadAsStringAsync(), StringComparison.Ordinal);
    }

    [DatabaseFact]
    public async Task Only_the_newest_finished_replays_are_listed()
    {
        var (farm, position) = await SpreadAsync("many");
        using var _ = farm;
        var first = (await EndAsync(await BeginAsync("many", new { asOfPosition = position }))).Text("address")!;
        for (var more = 0; more < OverKept; more++)
            await EndAsync(await BeginAsync("many", new { asOfPosition = position }));
        Assert.Equal(OverKept, (await web.Client.AskAsync("/api/replays")).GetProperty("replays").GetArrayLength());
        await web.Client.ProblemAsync(HttpStatusCode.NotFound, first);
    }

    private async Task<(SmallFarm Farm, long FirstBatch)> SpreadAsync(string id)
    {
        var farm = new SmallFarm(id);
        await web.Import.ImportAsync(farm.Path, default);
        var firstBatch = await web.PostAsync(farm.Spreading(1, 30));
        await web.PostAsync(farm.Spreading(31, 30));
        return (farm, firstBatch);
    }

    private async Task<JsonElement> BeginAsync(string farm, object? question)
    {
        var address = $"/api/farms/{farm}/replays";
        using var response = question is null
            ? await web.Client.PostAsync(address, null)
            : await web.Client.PostAsJsonAsync(address, question);
        Assert.True(response.StatusCode == HttpStatusCode.Accepted, await response.Content.ReadAsStringAsync());
        var begun = await response.Content.ReadFromJsonAsync<JsonElement>();
        Assert.Equal(begun.Text("address"), response.Headers.Location!.ToString());
        return begun;
    }

    private async Task<JsonElement> EndAsync(JsonElement begun) =>
        JsonSerializer.Deserialize<JsonElement>((await FollowAsync(begun.Text("address")!))[^1].Data);

    private async Task<List<SseItem<string>>> FollowAsync(string address, TaskCompletionSource? followed = null)
    {
        using var limit = new CancellationTokenSource(WebTestHost.Patience);
        // A separate client, because Web's own ends with it.
        using var client = new HttpClient { BaseAddress = web.Client.BaseAddress };
        using var request = new HttpRequestMessage(HttpMethod.Get, address);
        request.Headers.Accept.ParseAdd("text/event-stream");
        using var response = await client.SendAsync(request, HttpCompletionOption.ResponseHeadersRead, limit.Token);
        Assert.Equal("text/event-stream", response.Content.Headers.ContentType!.MediaType);
        await using var stream = await response.Content.ReadAsStreamAsync(limit.Token);
        var events = new List<SseItem<string>>();
        await foreach (var item in SseParser.Create(stream).EnumerateAsync(limit.Token))
        {
            events.Add(item);
            followed?.TrySetResult();
        }
        return events;
    }

    /// <summary>Waits until a replay waits at the locked tiles.</summary>
    private Task WritingAsync() =>
        PersistenceTestHost.UntilAsync(() =>
            web.Database.ReadAsync<bool>(
                """
                select exists (select 1 from pg_stat_activity where datname = current_database()
                    and wait_event_type = 'Lock' and query like '%insert into ledger.tile%' and pid <> pg_backend_pid())
                """
            )
        );

    private async Task<double> BalanceAsync(string farm) =>
        (await web.Client.AskAsync($"/api/farms/{farm}/fields/east/balance")).Number("volumeCubicMetres");

    private Task<int> GenerationAsync(string farm) =>
        web.Database.ReadAsync<int>($"select generation from ledger.farm where farm = '{farm}'");

    private Task<long> GenerationsOfRowsAsync(string farm) =>
        web.Database.ReadAsync<long>(
            $"""
            select count(distinct generation) from (
                select generation from ledger.line where farm = '{farm}'
                union all select generation from ledger.tile where farm = '{farm}'
                union all select generation from ledger.level where farm = '{farm}') as rows
            """
        );
}
