using System.Net.ServerSentEvents;
using System.Text.Json;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Web.Live;

public class LiveStreamTests(WebTestHost web) : IClassFixture<WebTestHost>
{
    [DatabaseFact]
    public async Task A_reader_gets_the_farm_at_once_and_again_when_a_batch_is_posted()
    {
        using var farm = new SmallFarm("watched");
        await web.Import.ImportAsync(farm.Path, default);
        using var limit = new CancellationTokenSource(WebTestHost.Patience);
        await using var stream = await web.Client.GetStreamAsync("/api/live?farm=watched", limit.Token);
        await using var events = SseParser.Create(stream).EnumerateAsync(limit.Token).GetAsyncEnumerator(limit.Token);

        var first = await NextSheetAsync(events);
        Assert.Equal("Small Farm", first.Text("name"));
        Assert.Equal(0, Spread(first));

        await web.PostAsync(farm.Spreading(1, 31));
        var second = await NextSheetAsync(events);
        // 30 intervals of 10 L.
        while (Spread(second) == 0)
            second = await NextSheetAsync(events);
        Assert.Equal(0.3, Spread(second), 1e-9);
        Assert.True(second.GetProperty("position").GetInt64() > first.GetProperty("position").GetInt64());
    }

    [DatabaseFact]
    public async Task A_reader_of_one_farm_gets_no_event_of_another()
    {
        using var quiet = new SmallFarm("quiet");
        using var busy = new SmallFarm("busy");
        await web.Import.ImportAsync(quiet.Path, default);
        await web.Import.ImportAsync(busy.Path, default);
        await web.PostedAsync();
        using var limit = new CancellationTokenSource(WebTestHost.Patience);
        await using var stream = await web.Client.GetStreamAsync("/api/live?farm=quiet", limit.Token);
        await using var events = SseParser.Create(stream).EnumerateAsync(limit.Token).GetAsyncEnumerator(limit.Token);
        var sheet = await NextSheetAsync(events);

        await web.PostAsync(busy.Spreading(1, 10));
        await web.PostAsync(quiet.Spreading(1, 11));
        while (Spread(sheet) == 0)
        {
            var before = sheet.GetProperty("position").GetInt64();
            sheet = await NextSheetAsync(events);
            Assert.True(sheet.GetProperty("position").GetInt64() > before, "A sheet came without anything new in it.");
        }
        Assert.Equal(0.1, Spread(sheet), 1e-9);
    }

    [DatabaseFact]
    public async Task An_open_stream_does_not_hold_up_a_stop()
    {
        using var farm = new SmallFarm("stopped");
        await web.Import.ImportAsync(farm.Path, default);
        using var limit = new CancellationTokenSource(WebTestHost.Patience);
        await using var stream = await web.Client.GetStreamAsync("/api/live?farm=stopped", limit.Token);
        await using var events = SseParser.Create(stream).EnumerateAsync(limit.Token).GetAsyncEnumerator(limit.Token);
        await NextSheetAsync(events);

        // Web would wait longer than this for requests that do not end by themselves.
        await web.StopAsync().WaitAsync(WebTestHost.Patience);
        await web.StartAsync(port: 0);
    }

    private static async Task<JsonElement> NextSheetAsync(IAsyncEnumerator<SseItem<string>> events)
    {
        while (await events.MoveNextAsync())
            if (events.Current.EventType == "sheet")
                return JsonSerializer.Deserialize<JsonElement>(events.Current.Data);
        throw new InvalidOperationException("The stream ended.");
    }

    private static double Spread(JsonElement sheet) => sheet.GetProperty("fields")[0].Number("volumeCubicMetres");
}
