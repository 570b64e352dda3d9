using System.Globalization;
using System.Text.RegularExpressions;
using Microsoft.Extensions.DependencyInjection;
using MQTTnet;
using MQTTnet.Protocol;
using NutrientLedger.Hub.Startup;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Persistence.Configuration;

namespace NutrientLedger.Integration.Tests.Hub;

/// <summary>
/// The whole hub's measurements in the Prometheus text format 0.0.4 (prometheus.io, "Exposition formats").
/// </summary>
public sealed partial class MetricsTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    [DatabaseFact]
    public async Task Results_commits_and_postings_can_be_read_as_plain_text()
    {
        await using var app = InProcessHub.Compose(database.ConnectionString);
        await app.StartAsync();
        var (httpPort, mqttPort) = HubHost.PortsOf(app);
        var configurations = app.Services.GetRequiredService<ConfigurationStore>();
        await configurations.RecordAsync(Some.Farm, 0, [.. Some.ConfigurationEvents()], CancellationToken.None);
        using var device = await ConnectAsync(mqttPort);
        var topic = $"agri/v1/{Some.Farm}/gauge-9/store";
        await PublishAsync(device, topic, Level(1));
        await PublishAsync(device, topic, Level(1));
        await PublishAsync(device, topic, "nonsense");
        using var client = new HttpClient();
        var address = new Uri($"http://127.0.0.1:{httpPort}{HubHost.MetricsPath}");

        var text = "";
        await PersistenceTestHost.UntilAsync(async () =>
        {
            text = await client.GetStringAsync(address);
            return Value(text, "persistence_posting_events_total", "") > 0
                && Value(text, "persistence_posting_lag_events", "") == 0;
        });

        Assert.True(Value(text, "ingestion_messages_total", "result=\"stored\"") == 1, text);
        Assert.Equal(1, Value(text, "ingestion_messages_total", "result=\"duplicate\""));
        Assert.Equal(1, Value(text, "ingestion_messages_total", "result=\"rejected\""));
        Assert.Equal(1, Value(text, "ingestion_readings_total", "result=\"stored\""));
        Assert.True(Value(text, "ingestion_commit_duration_seconds_count", "") >= 1);
        Assert.Equal(0, Value(text, "ingestion_waiting", ""));
        Assert.True(Value(text, "persistence_posting_duration_seconds_count", "") >= 1);
        // Buckets divide what is measured: milliseconds, and messages up to a full commit.
        foreach (var name in (string[])["ingestion_commit_duration_seconds", "persistence_posting_duration_seconds"])
            Assert.True(Value(text, $"{name}_bucket", "le=\"0.005\"") >= 0, text);
        Assert.True(Value(text, "ingestion_commit_messages_bucket", "le=\"1\"") >= 1, text);
        // Each sample must match the format's own grammar: name, labels, number, time.
        Assert.All(
            text.Split('\n').Where(line => line.Length > 0 && line[0] != '#'),
            line => Assert.Matches(Sample(), line)
        );
    }

    private static string Level(long seq) =>
        $$"""[{"bt":1790000000,"n":"boot","v":1},{"n":"seq","v":{{seq}}},{"n":"level","u":"m","v":2.5}]""";

    private static double Value(string text, string name, string label) =>
        text.Split('\n')
            .Where(line =>
                (
                    line.StartsWith(name + "{", StringComparison.Ordinal)
                    || line.StartsWith(name + " ", StringComparison.Ordinal)
                ) && line.Contains(label, StringComparison.Ordinal)
            )
            .Select(line => double.Parse(Sample().Match(line).Groups["value"].ValueSpan, CultureInfo.InvariantCulture))
            .DefaultIfEmpty(-1)
            .First();

    private static async Task<IMqttClient> ConnectAsync(int port)
    {
        var device = new MqttClientFactory().CreateMqttClient();
        await device.ConnectAsync(
            new MqttClientOptionsBuilder()
                .WithTcpServer("127.0.0.1", port)
                .WithClientId("gauge-9")
                .WithProtocolVersion(MQTTnet.Formatter.MqttProtocolVersion.V500)
                .Build()
        );
        return device;
    }

    private static async Task PublishAsync(IMqttClient device, string topic, string payload) =>
        await device.PublishAsync(
            new MqttApplicationMessageBuilder()
                .WithTopic(topic)
                .WithPayload(payload)
                .WithQualityOfServiceLevel(MqttQualityOfServiceLevel.AtLeastOnce)
                .Build()
        );

    [GeneratedRegex("""^[a-zA-Z_:][a-zA-Z0-9_:]*(\{[^}]*\})? (?<value>[-+0-9.eEInfNa]+)( \d+)?$""")]
    private static partial Regex Sample();
}
