using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.DependencyInjection;
using MQTTnet;
using MQTTnet.Formatter;
using NutrientLedger.Hub.Startup;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Web.Commands;

namespace NutrientLedger.Integration.Tests.Web.Endpoints;

/// <summary>
/// A device sends before its farm is imported. Each of its messages is in the journal after the import and a retry, or
/// was never acknowledged.
/// </summary>
public sealed class UnregisteredFarmTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    private const int Sent = 600;
    private const string Topic = "agri/v1/latecomer/tank-level/store";

    [DatabaseFact]
    public async Task All_messages_sent_before_the_import_are_stored_by_a_retry_after_it()
    {
        await database.EmptyAsync();
        await using var hub = InProcessHub.Compose(database.ConnectionString);
        using var client = await StartAsync(hub);
        using var device = await DeviceAsync(hub, MqttProtocolVersion.V311);

        var answers = await SendAsync(device, 1, Sent);

        Assert.All(answers, answer => Assert.True(answer.IsSuccess));
        Assert.Equal(Sent, await StoredAfterImportAsync(hub, client));
    }

    [DatabaseFact]
    public async Task Beyond_the_limit_messages_are_not_acknowledged_and_health_says_so()
    {
        await database.EmptyAsync();
        const int limit = 210;
        await using var hub = InProcessHub.Compose(
            database.ConnectionString,
            ("DeadLetters:WaitingPerDeviceMax", $"{limit}")
        );
        using var client = await StartAsync(hub);
        using var device = await DeviceAsync(hub, MqttProtocolVersion.V500);
        using var known = new SmallFarm("known");
        await hub.Services.GetRequiredService<FarmImport>().ImportAsync(known.Path, default);

        var answers = await SendAsync(device, 1, Sent);

        var turnedAway = answers.Where(answer => answer.ReasonCode == MqttClientPublishReasonCode.QuotaExceeded);
        Assert.Equal(Sent - limit, turnedAway.Count());
        Assert.All(
            turnedAway,
            answer => Assert.Contains("is not registered, and 210 messages of the device", answer.ReasonString)
        );
        Assert.True(device.IsConnected);
        var health = await client.AskAsync("/health/ready");
        var ingestion = health.GetProperty("parts").EnumerateArray().Single(part => part.Text("part") == "ingestion");
        Assert.Equal("degraded", ingestion.Text("state"));
        Assert.Contains("390 sound messages were not taken", ingestion.Text("reason"), StringComparison.Ordinal);
        // A registered device on the same connection is not touched.
        Assert.True((await device.PublishAsync("agri/v1/known/tank-level/store", Messages.Level(1))).IsSuccess);

        Assert.Equal(limit, await StoredAfterImportAsync(hub, client));
        Assert.All(await SendAsync(device, 1, Sent), answer => Assert.True(answer.IsSuccess));
        Assert.Equal(Sent, await StoredAsync(client));
    }

    private static async Task<HttpClient> StartAsync(WebApplication hub)
    {
        await hub.StartAsync();
        return new() { BaseAddress = new($"http://127.0.0.1:{HubHost.PortsOf(hub).Http}") };
    }

    private static async Task<IMqttClient> DeviceAsync(WebApplication hub, MqttProtocolVersion version)
    {
        var device = new MqttClientFactory().CreateMqttClient();
        await device.ConnectAsync(
            new MqttClientOptionsBuilder()
                .WithTcpServer("127.0.0.1", HubHost.PortsOf(hub).Mqtt)
                .WithClientId("tank-level")
                .WithProtocolVersion(version)
                .WithTimeout(PersistenceTestHost.Patience)
                .Build()
        );
        return device;
    }

    private static Task<MqttClientPublishResult[]> SendAsync(IMqttClient device, int first, int last) =>
        Task.WhenAll(
            Enumerable
                .Range(first, last - first + 1)
                .Select(seq => Messages.PublishAsync(device, Topic, Messages.Level(seq)))
        );

    private static async Task<double> StoredAfterImportAsync(WebApplication hub, HttpClient client)
    {
        using var farm = new SmallFarm("latecomer");
        await hub.Services.GetRequiredService<FarmImport>().ImportAsync(farm.Path, default);
        using var retried = await client.PostAsync("/api/rejected/retry?farm=latecomer", null);
        Assert.Equal(HttpStatusCode.OK, retried.StatusCode);
        Assert.Equal(0, (await retried.Content.ReadFromJsonAsync<JsonElement>()).Number("rejectedAgain"));
        return await StoredAsync(client);
    }

    private static async Task<double> StoredAsync(HttpClient client)
    {
        var devices = (await client.AskAsync("/api/farms/latecomer/devices")).GetProperty("devices");
        return Assert.Single(devices.EnumerateArray()).Number("readingsStored");
    }
}
