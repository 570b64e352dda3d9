using System.Diagnostics;
using Microsoft.Extensions.Diagnostics.HealthChecks;
using MQTTnet;
using MQTTnet.Formatter;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Ingestion.Monitoring;

namespace NutrientLedger.Integration.Tests.Ingestion.Broker;

/// <summary>What a device gets when too many messages wait for the import of its farm.</summary>
public sealed class QuotaTests
{
    private const string Full = "The farm \"quarry-farm\" is not registered.";

    [Fact]
    public async Task MQTT_5_gets_0x97_with_the_reason_and_stays_connected()
    {
        var log = new CollectedLog();
        await using var host = await IngestionTestHost.StartAsync(log: log);
        using var device = await host.DeviceAsync();
        host.Journal.Quota = Full;

        var answer = await device.PublishLevelAsync(1).WaitAsync(IngestionTestHost.Generous);

        Assert.Equal((MqttClientPublishReasonCode.QuotaExceeded, Full), (answer.ReasonCode, answer.ReasonString));
        var health = await host.HealthAsync();
        Assert.Equal(HealthStatus.Degraded, health.Status);
        Assert.EndsWith(Full, health.Description, StringComparison.Ordinal);
        Assert.Contains(log.Lines, line => line.EndsWith($"were not taken, and their device keeps them: {Full}"));
        host.Journal.Quota = null;
        Assert.True((await device.PublishLevelAsync(1)).IsSuccess);
    }

    [Fact]
    public async Task MQTT_3_1_1_is_closed_and_waits_before_it_is_accepted_again()
    {
        await using var host = await IngestionTestHost.StartAsync();
        using var first = await host.DeviceAsync("gauge-1", MqttProtocolVersion.V311);
        host.Journal.Quota = Full;
        var before = Stopwatch.GetTimestamp();
        await Assert.ThrowsAnyAsync<Exception>(() => first.PublishLevelAsync(1).WaitAsync(IngestionTestHost.Generous));
        await IngestionTestHost.Until(() => !first.IsConnected);
        host.Journal.Quota = null;

        // A stranger is accepted meanwhile.
        using var other = await host.DeviceAsync("gauge-2", MqttProtocolVersion.V311);
        Assert.True((await other.PublishLevelAsync(2)).IsSuccess);
        using var again = await host.DeviceAsync("gauge-1", MqttProtocolVersion.V311);

        // A machine that is slow makes this longer, never shorter.
        Assert.True(Stopwatch.GetElapsedTime(before) >= TimeSpan.FromSeconds(1));
        Assert.True((await again.PublishLevelAsync(1)).IsSuccess);
        Assert.Equal([2, 1], host.Journal.Seqs);
    }
}
