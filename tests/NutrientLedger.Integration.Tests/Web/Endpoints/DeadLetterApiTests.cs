using System.Net;
using System.Net.Http.Json;
using System.Security.Cryptography;
using System.Text.Json;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.DependencyInjection;
using MQTTnet;
using NutrientLedger.Hub.Startup;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Web.Commands;

namespace NutrientLedger.Integration.Tests.Web.Endpoints;

/// <summary>
/// Dead letters as a user meets them: a whole hub, messages over MQTT, queries and commands over HTTP.
/// </summary>
public sealed class DeadLetterApiTests(TestDatabase database) : IClassFixture<TestDatabase>, IAsyncLifetime, IDisposable
{
    private WebApplication hub = null!;
    private readonly HttpClient client = new();
    private readonly IMqttClient device = new MqttClientFactory().CreateMqttClient();

    public async Task InitializeAsync()
    {
        if (database.ConnectionString.Length == 0)
            return;
        await database.EmptyAsync();
        hub = InProcessHub.Compose(database.ConnectionString);
        await hub.StartAsync();
        var (http, mqtt) = HubHost.PortsOf(hub);
        client.BaseAddress = new($"http://127.0.0.1:{http}");
        await device.ConnectAsync(new MqttClientOptionsBuilder().WithTcpServer("127.0.0.1", mqtt).Build());
    }

    public async Task DisposeAsync()
    {
        if (hub is null)
            return;
        await hub.DisposeAsync();
    }

    public void Dispose()
    {
        device.Dispose();
        client.Dispose();
    }

    [DatabaseFact]
    public async Task Dead_letters_of_an_unknown_farm_are_stored_by_a_retry_after_its_import()
    {
        const string topic = "agri/v1/latecomer/tank-level/store";
        for (var seq = 1; seq <= 5; seq++)
            await Messages.PublishAsync(device, topic, Messages.Level(seq));
        var open = (await client.AskAsync("/api/rejected?farm=latecomer&state=open")).GetProperty("rejected");
        Assert.Equal(5, open.GetArrayLength());
        var one = open[0].GetProperty("id").GetInt64();
        var early = await PostAsync($"/api/rejected/{one}/retry");
        Assert.False(early.GetProperty("stored").GetBoolean());
        Assert.Contains("not registered", early.Text("reason"), StringComparison.Ordinal);

        using var farm = new SmallFarm("latecomer");
        await hub.Services.GetRequiredService<FarmImport>().ImportAsync(farm.Path, default);
        var all = await PostAsync("/api/rejected/retry?farm=latecomer");

        Assert.Equal((5, 5, 0), (all.Number("retried"), all.Number("stored"), all.Number("rejectedAgain")));
        Assert.Empty((await client.AskAsync("/api/rejected?state=open")).GetProperty("rejected").EnumerateArray());
        var stored = (await client.AskAsync($"/api/rejected/{one}")).GetProperty("message");
        Assert.Equal(("stored", 1), (stored.Text("state"), stored.Number("times")));
        var devices = (await client.AskAsync("/api/farms/latecomer/devices")).GetProperty("devices");
        Assert.Equal(5, Assert.Single(devices.EnumerateArray()).Number("readingsStored"));
        Assert.Equal(HttpStatusCode.Conflict, (await client.PostAsync($"/api/rejected/{one}/retry", null)).StatusCode);
    }

    [DatabaseFact]
    public async Task A_message_is_shown_byte_for_byte_and_closed_with_a_reason_once()
    {
        await Messages.PublishAsync(device, Messages.StoreTopic, "{[] ü"u8.ToArray());
        await Messages.PublishAsync(device, Messages.StoreTopic, [0xff, 0x00]);
        var page = await client.AskAsync("/api/rejected?limit=1");
        var newest = page.GetProperty("rejected")[0].GetProperty("id").GetInt64();
        var older = (await client.AskAsync($"/api/rejected?after={page.GetProperty("next")}")).GetProperty("rejected");
        var first = Assert.Single(older.EnumerateArray()).GetProperty("id").GetInt64();

        Assert.Equal("{[] ü", (await client.AskAsync($"/api/rejected/{first}")).Text("text"));
        var bytes = await client.AskAsync($"/api/rejected/{newest}");
        Assert.Equal("/wA=", bytes.Text("base64"));
        Assert.Equal(JsonValueKind.Null, bytes.GetProperty("text").ValueKind);

        var silent = await client.PostAsJsonAsync($"/api/rejected/{first}/close", new { by = "Office" });
        Assert.Equal(HttpStatusCode.BadRequest, silent.StatusCode);
        var decision = new { by = "Office", reason = "bench test of a new controller" };
        var closed = await client.PostAsJsonAsync($"/api/rejected/{first}/close", decision);
        var answer = await closed.Content.ReadFromJsonAsync<JsonElement>();
        Assert.Equal(
            ("closed", "Office", decision.reason),
            (answer.Text("state"), answer.Text("closedBy"), answer.Text("closedReason"))
        );
        var again = await client.PostAsJsonAsync($"/api/rejected/{first}/close", decision);
        Assert.Equal(HttpStatusCode.Conflict, again.StatusCode);
        Assert.Contains("bench test", await again.Content.ReadAsStringAsync(), StringComparison.Ordinal);
    }

    [DatabaseFact]
    public async Task Messages_that_are_too_large_are_listed_with_their_length_and_hash_and_a_retry_keeps_the_reason()
    {
        byte[][] large = [Messages.Level(1, 300_000), Messages.Level(1, 300_001)];
        foreach (var message in large)
            await Messages.PublishAsync(device, Messages.StoreTopic, message);

        var listed = (await client.AskAsync("/api/rejected?state=open")).GetProperty("rejected");
        Assert.Equal(
            large.Reverse().Select(message => (message.Length * 1d, 4096d, Hash(message))),
            listed.EnumerateArray().Select(one => (one.Number("bytes"), one.Number("bytesKept"), one.Text("sha256")))
        );
        var id = listed[0].GetProperty("id").GetInt64();
        var retried = await PostAsync($"/api/rejected/{id}/retry");
        Assert.False(retried.GetProperty("stored").GetBoolean());
        Assert.Equal(listed[0].Text("reason"), retried.Text("reason"));
        var again = (await client.AskAsync($"/api/rejected/{id}")).GetProperty("message");
        Assert.StartsWith("The message has 300001 bytes", again.Text("reason"), StringComparison.Ordinal);
    }

    [DatabaseFact]
    public async Task A_topic_as_long_as_MQTT_allows_is_listed()
    {
        // An emoji is two characters, and one of them stands across the place where an index entry is cut.
        var topic = "x" + string.Concat(Enumerable.Repeat("\U0001F69C", 16_000));

        await Messages.PublishAsync(device, topic, "[]"u8.ToArray());

        var listed = (await client.AskAsync("/api/rejected")).GetProperty("rejected");
        Assert.Equal(topic, Assert.Single(listed.EnumerateArray()).Text("topic"));
    }

    [DatabaseTheory]
    [InlineData("/api/rejected?state=lost", "Write open, stored or closed.")]
    [InlineData("/api/rejected?after=x", "\"x\" is not a valid after.")]
    public async Task An_invalid_list_query_says_what_to_ask(string address, string words) =>
        Assert.Contains(words, await client.ProblemAsync(HttpStatusCode.BadRequest, address), StringComparison.Ordinal);

    private static string? Hash(byte[] message) => Convert.ToHexStringLower(SHA256.HashData(message));

    private async Task<JsonElement> PostAsync(string address)
    {
        using var response = await client.PostAsync(address, null);
        Assert.True(response.IsSuccessStatusCode, await response.Content.ReadAsStringAsync());
        return await response.Content.ReadFromJsonAsync<JsonElement>();
    }
}
