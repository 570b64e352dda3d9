using System.Text.Json;
using System.Threading.Channels;
using MQTTnet;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal;
using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Integration.Tests.Ingestion.Watermarks;

public sealed class AcknowledgementWatermarkTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    private static readonly FarmDevice Applicator = new(Some.Farm, Some.Applicator);

    [DatabaseFact]
    public async Task A_watermark_stops_before_the_first_gap_and_moves_when_the_gap_is_filled()
    {
        await using var store = await StartAsync();
        await store.AppendAsync(Some.Message(1, 10), Some.Message(21, 30));
        Assert.Equal([new(Applicator, TelemetryStream.Spread, 1, 10, 30)], await WatermarksOfAsync(store, Applicator));

        await store.AppendAsync(Some.Message(11, 20));
        Assert.Equal([new(Applicator, TelemetryStream.Spread, 1, 30, 30)], await WatermarksOfAsync(store, Applicator));
    }

    [DatabaseFact]
    public async Task Nothing_counts_as_stored_up_to_a_number_while_the_first_reading_is_missing()
    {
        await using var store = await StartAsync();
        await store.AppendAsync(Some.Message(2, 10));

        Assert.Equal([new(Applicator, TelemetryStream.Spread, 1, 0, 10)], await WatermarksOfAsync(store, Applicator));
    }

    [DatabaseFact]
    public async Task Each_stream_and_boot_has_its_own_watermark_and_other_devices_are_left_out()
    {
        await using var store = await StartAsync();
        await store.AppendAsync(
            Some.Message(1, 5),
            Some.Message(1, 7, boot: 2),
            Some.LevelMessage(1, 3, Some.Applicator),
            Some.LevelMessage(1, 9)
        );

        Assert.Equal(
            [
                new(Applicator, TelemetryStream.Spread, 2, 7, 7),
                new(Applicator, TelemetryStream.Spread, 1, 5, 5),
                new(Applicator, TelemetryStream.Store, 1, 3, 3),
            ],
            await WatermarksOfAsync(store, Applicator)
        );
    }

    [Fact]
    public async Task A_watermark_is_published_to_the_device_and_to_later_subscribers()
    {
        await using var host = await IngestionTestHost.StartAsync(
            new() { WatermarkInterval = TimeSpan.FromMilliseconds(20) }
        );
        using var device = await host.DeviceAsync();
        var received = await ListenAsync(device);
        for (var seq = 1; seq <= 50; seq++)
            await device.PublishLevelAsync(seq);
        Assert.Equal(50, await UpToAsync(received, 50));

        using var late = await host.DeviceAsync("late");
        Assert.Equal(50, await UpToAsync(await ListenAsync(late), 50));
    }

    [Fact]
    public async Task Many_commits_within_the_pause_publish_one_watermark_and_always_the_last()
    {
        await using var host = await IngestionTestHost.StartAsync(
            new() { WatermarkInterval = TimeSpan.FromMinutes(10) }
        );
        using var device = await host.DeviceAsync();
        var received = await ListenAsync(device);
        await device.PublishLevelAsync(1);
        await received.ReadAsync().AsTask().WaitAsync(IngestionTestHost.Generous);

        for (var seq = 2; seq <= 50; seq++)
            await device.PublishLevelAsync(seq);

        Assert.False(received.TryRead(out _));
    }

    [Fact]
    public async Task Only_the_hub_may_publish_a_watermark()
    {
        await using var host = await IngestionTestHost.StartAsync();
        using var device = await host.DeviceAsync();

        var answer = await device.PublishAsync("agri/v1/quarry-farm/gauge-1/stored", "[]"u8.ToArray());

        Assert.Equal(MqttClientPublishReasonCode.TopicNameInvalid, answer.ReasonCode);
    }

    private async Task<PersistenceTestHost> StartAsync()
    {
        await database.EmptyAsync();
        var store = await PersistenceTestHost.StartAsync(database.ConnectionString, keepsLedgersCurrent: false);
        await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
        return store;
    }

    private static Task<IReadOnlyList<AcknowledgementWatermark>> WatermarksOfAsync(
        PersistenceTestHost store,
        FarmDevice device
    ) => store.Writer.WatermarksAsync([device], CancellationToken.None);

    private static async Task<ChannelReader<JsonElement>> ListenAsync(IMqttClient device)
    {
        var received = Channel.CreateUnbounded<JsonElement>();
        device.ApplicationMessageReceivedAsync += async e =>
            await received.Writer.WriteAsync(JsonDocument.Parse(e.ApplicationMessage.Payload).RootElement);
        await device.SubscribeAsync("agri/v1/quarry-farm/gauge-1/stored");
        return received.Reader;
    }

    /// <summary>The first watermark at or above the wanted number.</summary>
    private static async Task<long> UpToAsync(ChannelReader<JsonElement> received, long wanted)
    {
        using var limit = new CancellationTokenSource(IngestionTestHost.Generous);
        while (true)
        {
            var watermark = await received.ReadAsync(limit.Token);
            Assert.Equal("store/1/", watermark[0].GetProperty("bn").GetString());
            Assert.Equal("seq", watermark[0].GetProperty("n").GetString());
            Assert.Equal("top", watermark[1].GetProperty("n").GetString());
            if (watermark[0].GetProperty("v").GetInt64() is var upTo && upTo >= wanted)
                return upTo;
        }
    }
}
