using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Codecs;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Persistence.Gaps;
using NutrientLedger.Persistence.Messages;

namespace NutrientLedger.Integration.Tests.Persistence.Appending;

public sealed class AppendTests(TestDatabase database) : IClassFixture<TestDatabase>, IAsyncLifetime
{
    private PersistenceTestHost store = null!;

    public async Task InitializeAsync()
    {
        if (database.ConnectionString.Length == 0)
            return;
        await database.EmptyAsync();
        store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
    }

    public async Task DisposeAsync()
    {
        if (store is not null)
            await store.DisposeAsync();
    }

    [DatabaseFact]
    public async Task A_redelivered_message_adds_nothing()
    {
        Assert.Equal([new AppendResult.Stored(50, 0, 0)], await store.AppendAsync(Some.Message(1, 50)));
        await store.PostedAsync();
        var before = await store.ReadAsync();

        Assert.Equal([new AppendResult.Stored(0, 50, 0)], await store.AppendAsync(Some.Message(1, 50)));
        await store.PostedAsync();
        var after = await store.ReadAsync();
        Assert.Equal(before.Position, after.Position);
        Assert.Equal(before.Lines, after.Lines);
        Assert.Single(await BatchesAsync());
    }

    [DatabaseFact]
    public async Task Readings_received_before_are_dropped_from_the_middle_of_a_message()
    {
        await store.AppendAsync(Some.Message(5, 6), Some.Message(9, 9));
        Assert.Equal([new AppendResult.Stored(9, 3, 0)], await store.AppendAsync(Some.Message(1, 12)));
        var batches = await BatchesAsync();
        Assert.Equal(
            [(5, 6), (9, 9), (1, 4), (7, 8), (10, 12)],
            batches.Select(batch => (batch.FirstSeq, batch.LastSeq))
        );
        Assert.Equal([null, null, null, Some.Reading(6), Some.Reading(9)], batches.Select(batch => batch.Before));
        Assert.Equal([null, null, Some.Reading(5), Some.Reading(9), null], batches.Select(batch => batch.After));
    }

    [DatabaseFact]
    public async Task Messages_of_one_commit_become_one_batch()
    {
        var results = await store.AppendAsync([.. Some.Numbers(1, 500).Select(seq => Some.Message(seq, seq))]);
        Assert.All(results, result => Assert.Equal(new AppendResult.Stored(1, 0, 0), result));
        Assert.Equal([(1, 500)], (await BatchesAsync()).Select(batch => (batch.FirstSeq, batch.LastSeq)));
    }

    [DatabaseFact]
    public async Task One_bad_message_neither_stops_nor_changes_the_good_ones()
    {
        var results = await store.Writer.AppendAsync(
            [
                Some.Message(1, 3),
                Some.Message(1, 3, farm: "nobody"),
                Some.Message(300_000_000, 300_000_001),
                Some.Message(4, 6),
            ],
            [new("agri/v1/x\0y", new byte[] { 0, 255, 7 }, "not JSON")],
            CancellationToken.None
        );
        Assert.Equal(new AppendResult.Stored(3, 0, 0), results[0]);
        Assert.Contains(
            "not registered",
            Assert.IsType<AppendResult.Rejected>(results[1]).Reason,
            StringComparison.Ordinal
        );
        Assert.Contains("beyond", Assert.IsType<AppendResult.Rejected>(results[2]).Reason, StringComparison.Ordinal);
        Assert.Equal(new AppendResult.Stored(3, 0, 0), results[3]);
        Assert.Equal([(1, 6)], (await BatchesAsync()).Select(batch => (batch.FirstSeq, batch.LastSeq)));

        var deadLetters = await store.DeadLetters.ListAsync(new(null, null, null, 10), CancellationToken.None);
        Assert.Equal([3, 3, 3], deadLetters.Select(message => message.Bytes));
        Assert.Contains(deadLetters, message => message.Reason == "not JSON" && message.Topic == "agri/v1/x\uFFFDy");
        Assert.Equal(
            [0, 255, 7],
            await database.ReadAsync<byte[]>("select payload from ingestion.dead_letter where reason = 'not JSON'")
        );
    }

    [DatabaseFact]
    public async Task A_device_shows_its_counts_its_gaps_and_its_last_message()
    {
        await store.AppendAsync(
            Some.Message(3, 5),
            Some.Message(5, 6),
            Some.Message(10, 12),
            Some.Message(2, 2, boot: 2)
        );
        await store.AppendAsync(Some.LevelMessage(1, 2));
        var devices = await store.Devices.DevicesAsync(Some.Farm, CancellationToken.None);
        Assert.Equal(
            [(Some.Gauge, TelemetryStream.Store), (Some.Applicator, TelemetryStream.Spread)],
            devices.Select(device => (device.EquipmentId, device.Stream))
        );
        var spreader = devices[1];
        Assert.Equal((8, 1, 0), (spreader.ReadingsStored, spreader.ReadingsDuplicate, spreader.ReadingsQuestionable));
        Assert.Equal([new MissingNumbers(1, 1, 2), new(1, 7, 9), new(2, 1, 1)], spreader.Gaps);
        Assert.Equal(Some.Morning.AddSeconds(12), spreader.LastMeasuredAt);
        Assert.Empty(devices[0].Gaps);
    }

    [DatabaseFact]
    public async Task What_was_left_out_of_a_message_is_counted_once()
    {
        var message = Some.Message(1, 5) with { LeftOut = new(UnknownRecords: 2, Values: 3) };
        await store.AppendAsync(message, message);
        await store.AppendAsync(message, Some.Message(6, 7) with { LeftOut = new(0, 1) });

        var device = Assert.Single(await store.Devices.DevicesAsync(Some.Farm, CancellationToken.None));
        Assert.Equal(new(2, 4), device.LeftOut);
    }

    [DatabaseFact]
    public async Task A_reading_from_the_future_is_stored_with_a_questionable_time()
    {
        var ahead = DateTimeOffset.UtcNow.AddHours(1).ToUnixTimeMilliseconds();
        var message = Some.Message(1, 2) with
        {
            Event = new SpreadingMeasured(new(Some.Applicator, 1, 1, [new(ahead), Some.Reading(2)])),
        };
        Assert.Equal([new AppendResult.Stored(2, 0, 1)], await store.AppendAsync(message));
        Assert.Single(await BatchesAsync());
    }

    [DatabaseFact]
    public async Task Two_hubs_that_take_the_same_messages_store_each_reading_once()
    {
        await using var other = await PersistenceTestHost.StartAsync(database.ConnectionString);
        async Task SendAsync(PersistenceTestHost hub, int seed)
        {
            var random = new Random(seed);
            foreach (var first in Some.Numbers(1, 40).Select(i => (i * 10) - 9).OrderBy(_ => random.Next()))
                await hub.AppendAsync(Some.Message(first, first + 14), Some.LevelMessage(first, first + 14));
        }
        await Task.WhenAll(SendAsync(store, 1), SendAsync(other, 2));

        var batches = await BatchesAsync();
        Assert.Equal(
            Some.Numbers(1, 405),
            batches.SelectMany(batch => Some.Numbers(batch.FirstSeq, batch.LastSeq)).Order()
        );
        Assert.Empty(
            (await store.Devices.DevicesAsync(Some.Farm, CancellationToken.None)).SelectMany(device => device.Gaps)
        );
        await store.PostedAsync();
        Assert.Empty((await store.AuditAsync()).Findings);
    }

    private async Task<IReadOnlyList<ReadingBatch<SpreadReading>>> BatchesAsync() =>
        [
            .. (
                await database.ReadAllAsync<byte[]>(
                    "select batch from journal.event where type = 'spreading_measured' order by position"
                )
            ).Select(stored => BatchCodec.Decode<SpreadReading>(stored)),
        ];
}
