using System.Globalization;
using System.Net;
using System.Net.Http.Json;
using System.Text;
using System.Text.Json;
using System.Threading.Channels;
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
/// A controller is replaced in the field: the new one has the old one's name and counts anew. Its readings wait by name
/// until a person says so, and then each counts once.
/// </summary>
public sealed class ReplacedDeviceApiTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    private const string Farm = "swapped";
    private const string Topic = $"agri/v1/{Farm}/drag-line/spread";
    private const int Old = 50;
    private const int New = 30;
    private const int Each = 5;

    private static readonly object Signed = new { by = "Ada Ash", reason = "Controller burnt out" };

    [DatabaseTheory]
    [InlineData(MqttProtocolVersion.V311)]
    [InlineData(MqttProtocolVersion.V500)]
    public async Task A_new_controller_under_an_old_name_waits_for_a_word_and_then_counts_beside_the_old_one(
        MqttProtocolVersion version
    )
    {
        await database.EmptyAsync();
        await using var hub = InProcessHub.Compose(database.ConnectionString);
        await hub.StartAsync();
        using var client = new HttpClient { BaseAddress = new($"http://127.0.0.1:{HubHost.PortsOf(hub).Http}") };
        using var farm = new SmallFarm(Farm);
        await hub.Services.GetRequiredService<FarmImport>().ImportAsync(farm.Path, default);
        using var device = new MqttClientFactory().CreateMqttClient();
        var watermarks = await ConnectAsync(device, hub, version);
        Assert.All(await SendAsync(device, Old, isNew: false), answer => Assert.True(answer.IsSuccess));
        Assert.Equal(Old, (await DeviceAsync(client)).Number("readingsStored"));
        await UntilAsync(watermarks, text => text.Contains($"\"seq\",\"u\":\"count\",\"v\":{Old}"));
        Assert.Contains("needs no decision", await ReplaceAsync(client, HttpStatusCode.Conflict, "drag-line", Signed));

        var answers = await SendAsync(device, New, isNew: true);

        // MQTT 3.1.1 has no reasons: it gets PUBACK because the message is kept.
        Assert.All(
            answers,
            answer =>
                Assert.Equal(
                    version == MqttProtocolVersion.V500
                        ? MqttClientPublishReasonCode.PayloadFormatInvalid
                        : MqttClientPublishReasonCode.Success,
                    answer.ReasonCode
                )
        );
        // What the hub has of the old one no longer tells the new one to drop something.
        await UntilAsync(watermarks, text => text.Length == 0);
        Assert.All(await SendAsync(device, Old, isNew: false), answer => Assert.True(answer.IsSuccess));
        var waiting = await DeviceAsync(client);
        Assert.Equal((Old, Old), (waiting.Number("readingsStored"), waiting.Number("readingsDuplicate")));
        Assert.Equal(New / Each, waiting.Number("differingMessages"));
        Assert.Contains("/devices/drag-line/replaced", waiting.Text("whatToDo"), StringComparison.Ordinal);
        Assert.Contains("by", await ReplaceAsync(client, HttpStatusCode.BadRequest, "drag-line", new { reason = "x" }));
        Assert.Contains("drag-line", await ReplaceAsync(client, HttpStatusCode.NotFound, "drag-lime", Signed));

        var replaced = JsonDocument
            .Parse(await ReplaceAsync(client, HttpStatusCode.OK, "drag-line", Signed))
            .RootElement;

        Assert.Equal(2, replaced.Number("firstBoot"));
        Assert.Equal(New, replaced.GetProperty("retried").Number("readings"));
        var now = await DeviceAsync(client);
        Assert.Equal((Old + New, 0), (now.Number("readingsStored"), now.Number("differingMessages")));
        Assert.Equal(JsonValueKind.Null, now.GetProperty("whatToDo").ValueKind);
        await UntilAsync(
            watermarks,
            text => text.Contains("\"spread/1/\"") && text.Contains($"\"seq\",\"u\":\"count\",\"v\":{New}")
        );
        Assert.All(await SendAsync(device, New, isNew: true), answer => Assert.True(answer.IsSuccess));
        Assert.Equal(Old + New, (await DeviceAsync(client)).Number("readingsStored"));
        // 49 times 10 L by the old meter and 29 times 20 L by the new one, and nothing between the two.
        await PersistenceTestHost.UntilAsync(async () =>
            Math.Abs(
                (await client.AskAsync($"/api/farms/{Farm}/fields/east/balance")).Number("volumeCubicMetres") - 1.07
            ) < 1e-9
        );
        await ReplaceAsync(client, HttpStatusCode.Conflict, "drag-line", Signed);
    }

    private static async Task<ChannelReader<string>> ConnectAsync(
        IMqttClient device,
        WebApplication hub,
        MqttProtocolVersion version
    )
    {
        var watermarks = Channel.CreateUnbounded<string>();
        device.ApplicationMessageReceivedAsync += async e =>
            await watermarks.Writer.WriteAsync(Encoding.UTF8.GetString(e.ApplicationMessage.Payload));
        await device.ConnectAsync(
            new MqttClientOptionsBuilder()
                .WithTcpServer("127.0.0.1", HubHost.PortsOf(hub).Mqtt)
                .WithClientId("drag-line")
                .WithProtocolVersion(version)
                .WithTimeout(PersistenceTestHost.Patience)
                .Build()
        );
        await device.SubscribeAsync($"agri/v1/{Farm}/drag-line/stored");
        return watermarks.Reader;
    }

    private static async Task UntilAsync(ChannelReader<string> watermarks, Func<string, bool> isWanted)
    {
        using var limit = new CancellationTokenSource(PersistenceTestHost.Patience);
        while (!isWanted(await watermarks.ReadAsync(limit.Token))) { }
    }

    private static async Task<JsonElement> DeviceAsync(HttpClient client) =>
        Assert.Single((await client.AskAsync($"/api/farms/{Farm}/devices")).GetProperty("devices").EnumerateArray());

    private static async Task<string> ReplaceAsync(
        HttpClient client,
        HttpStatusCode status,
        string equipment,
        object request
    )
    {
        using var response = await client.PostAsJsonAsync($"/api/farms/{Farm}/devices/{equipment}/replaced", request);
        var text = await response.Content.ReadAsStringAsync();
        Assert.True(status == response.StatusCode, text);
        return text;
    }

    private static async Task<List<MqttClientPublishResult>> SendAsync(IMqttClient device, int readings, bool isNew)
    {
        var answers = new List<MqttClientPublishResult>();
        for (var first = 1; first <= readings; first += Each)
            answers.Add(await Messages.PublishAsync(device, Topic, Spreading(first, isNew)));
        return answers;
    }

    /// <summary>Readings of boot 1 along field East: 10 L a second, or 20 L by another meter an hour later.</summary>
    private static byte[] Spreading(int first, bool isNew)
    {
        var records = Enumerable
            .Range(first, Each)
            .Select(seq =>
                string.Create(
                    CultureInfo.InvariantCulture,
                    $$"""
                    {"bt":{{SmallFarm.Morning.ToUnixTimeSeconds() + seq + (isNew ? 3600 : 0)}},"n":"lat","u":"lat","v":{{43.0002
                        + (seq * 0.00002):0.0000000}}},{"n":"lon","u":"lon","v":-91.011},{"n":"width","u":"m","v":12},{"n":"engaged","vb":true},{"n":"total","u":"m3","v":{{(isNew
                        ? 700 + (seq * 0.02)
                        : seq * 0.01):0.00}}}
                    """
                )
            );
        return Encoding.UTF8.GetBytes(
            $"[{string.Join(',', records)},{{\"n\":\"boot\",\"v\":1}},{{\"n\":\"seq\",\"v\":{first}}}]"
        );
    }
}
