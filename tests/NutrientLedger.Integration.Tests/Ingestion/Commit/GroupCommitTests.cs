using System.Collections.Concurrent;
using Microsoft.Extensions.Diagnostics.HealthChecks;
using MQTTnet;
using NutrientLedger.Ingestion.Queueing;
using NutrientLedger.Integration.Tests.Farms;

namespace NutrientLedger.Integration.Tests.Ingestion.Commit;

public sealed class GroupCommitTests
{
    [Fact]
    public async Task What_arrives_during_a_commit_is_committed_together()
    {
        await using var host = await IngestionTestHost.StartAsync();
        host.Journal.Hold();
        using var device = await host.DeviceAsync();
        var first = device.PublishLevelAsync(1);
        await host.Journal.Begun.WaitAsync(IngestionTestHost.Generous);

        var rest = Enumerable.Range(2, 200).Select(seq => device.PublishLevelAsync(seq)).ToArray();
        await IngestionTestHost.Until(async () => await host.WaitingAsync() == 200);
        host.Journal.Release();
        await Task.WhenAll([first, .. rest]).WaitAsync(IngestionTestHost.Generous);

        Assert.Equal([1, 200], host.Journal.BatchSizes);
        Assert.Equal(Enumerable.Range(1, 201).Select(seq => (long)seq), host.Journal.Seqs);
    }

    [Fact]
    public async Task A_commit_takes_no_more_messages_than_its_limit()
    {
        await using var host = await IngestionTestHost.StartAsync(new IngestionLimits { CommitMessagesMax = 30 });
        host.Journal.Hold();
        using var device = await host.DeviceAsync();

        var all = Enumerable.Range(1, 100).Select(seq => device.PublishLevelAsync(seq)).ToArray();
        await IngestionTestHost.Until(async () => await host.WaitingAsync() >= 70);
        host.Journal.Release();
        await Task.WhenAll(all).WaitAsync(IngestionTestHost.Generous);

        Assert.All(host.Journal.BatchSizes, size => Assert.InRange(size, 1, 30));
        Assert.Equal(100, host.Journal.Batches.Count);
    }

    [Fact]
    public async Task A_silent_database_stops_the_connections_and_buffers_no_more_than_the_limit()
    {
        const int limit = 64 * 1024;
        await using var host = await IngestionTestHost.StartAsync(
            new IngestionLimits
            {
                PacketBytesMax = 8192,
                WaitingBytesMax = limit,
                CommitMessagesMax = 1,
            }
        );
        host.Journal.Hold();
        var devices = await Task.WhenAll(Enumerable.Range(1, 4).Select(i => host.DeviceAsync($"gauge-{i}")));

        var all = Enumerable.Range(1, 200).Select(seq => devices[seq % 4].PublishLevelAsync(seq, 4000)).ToArray();
        await IngestionTestHost.Until(async () => (double)(await host.HealthAsync()).Data["queueFullness"] == 1);
        Assert.InRange(await host.WaitingAsync(), 1, (limit / 4096) + 1);
        Assert.DoesNotContain(all, publish => publish.IsCompleted);
        host.Journal.Release();
        await Task.WhenAll(all).WaitAsync(IngestionTestHost.Generous);

        Assert.Equal(Enumerable.Range(1, 200).Select(seq => (long)seq), host.Journal.Seqs.Order());
        foreach (var device in devices)
            device.Dispose();
    }

    [Fact]
    public async Task A_hub_that_stops_under_load_has_stored_all_it_acknowledged_and_waits_for_no_limit()
    {
        await using var host = await IngestionTestHost.StartAsync(
            new IngestionLimits { DrainLimit = 2 * IngestionTestHost.Generous }
        );
        var acknowledged = new ConcurrentBag<long>();
        var devices = await Task.WhenAll(Enumerable.Range(1, 4).Select(i => host.DeviceAsync($"gauge-{i}")));
        var sending = devices.Select((device, i) => SendAsync(device, 1_000_000 * (i + 1), acknowledged)).ToArray();
        await IngestionTestHost.Until(() => acknowledged.Count > 200);

        await host.StopAsync().WaitAsync(IngestionTestHost.Generous);
        await Task.WhenAll(sending).WaitAsync(IngestionTestHost.Generous);

        Assert.Empty(acknowledged.Except(host.Journal.Seqs));
        foreach (var device in devices)
            device.Dispose();
    }

    [Fact]
    public async Task A_hub_that_stops_commits_first_what_has_arrived()
    {
        await using var host = await IngestionTestHost.StartAsync();
        host.Journal.Hold();
        using var device = await host.DeviceAsync();
        var first = device.PublishLevelAsync(1);
        await host.Journal.Begun.WaitAsync(IngestionTestHost.Generous);
        var rest = Enumerable.Range(2, 49).Select(seq => device.PublishLevelAsync(seq)).ToArray();
        await IngestionTestHost.Until(async () => await host.WaitingAsync() == 49);

        var stopping = host.StopAsync();
        host.Journal.Release();
        await stopping.WaitAsync(IngestionTestHost.Generous);

        Assert.Equal(50, host.Journal.Batches.Count);
        foreach (var publish in rest.Prepend(first))
            await publish.ContinueWith(_ => { }, TaskScheduler.Default).WaitAsync(IngestionTestHost.Generous);
    }

    [Fact]
    public async Task A_hub_with_a_silent_database_still_stops()
    {
        await using var host = await IngestionTestHost.StartAsync(
            new IngestionLimits { DrainLimit = TimeSpan.FromMilliseconds(200) }
        );
        host.Journal.Hold();
        using var device = await host.DeviceAsync();
        var publish = device.PublishLevelAsync(1);
        await host.Journal.Begun.WaitAsync(IngestionTestHost.Generous);

        await host.StopAsync().WaitAsync(IngestionTestHost.Generous);

        Assert.Empty(host.Journal.Batches);
        var exception = await Record.ExceptionAsync(() => publish.WaitAsync(IngestionTestHost.Generous));
        Assert.True(exception is not null || (await publish).ReasonCode != MqttClientPublishReasonCode.Success);
    }

    [Fact]
    public async Task The_health_check_says_when_messages_cannot_be_committed()
    {
        await using var host = await IngestionTestHost.StartAsync();
        using var device = await host.DeviceAsync();
        Assert.Equal(HealthStatus.Healthy, (await host.HealthAsync()).Status);

        host.Journal.Fault = (_, _) => new IOException("no database");
        var publish = device.PublishLevelAsync(1);
        await IngestionTestHost.Until(async () => (await host.HealthAsync()).Status == HealthStatus.Unhealthy);
        Assert.Contains("no database", (await host.HealthAsync()).Description, StringComparison.Ordinal);
        host.Journal.Fault = (_, _) => null;
        await publish.WaitAsync(IngestionTestHost.Generous);

        Assert.Equal(HealthStatus.Healthy, (await host.HealthAsync()).Status);
    }

    private static async Task SendAsync(IMqttClient device, long firstSeq, ConcurrentBag<long> acknowledged)
    {
        try
        {
            for (var seq = firstSeq; ; seq++)
                if ((await device.PublishLevelAsync(seq)).IsSuccess)
                    acknowledged.Add(seq);
                else
                    return;
        }
        catch (Exception)
        {
            // The stopping hub closes the connection, which ends this device.
        }
    }
}
