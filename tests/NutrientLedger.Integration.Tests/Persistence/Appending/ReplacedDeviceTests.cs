using System.Text;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Persistence.Appending;
using NutrientLedger.Persistence.Messages;
using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Integration.Tests.Persistence.Appending;

/// <summary>Readings under known numbers are compared with what is stored, and a new device counts anew.</summary>
public sealed class ReplacedDeviceTests(TestDatabase database) : IClassFixture<TestDatabase>, IAsyncLifetime
{
    private const string Replaced = $"POST /api/farms/{Some.Farm}/devices/{Some.Applicator}/replaced";

    private static readonly FarmDevice Device = new(Some.Farm, Some.Applicator);

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
    public async Task One_other_reading_in_the_middle_of_a_stored_batch_makes_its_message_wait_by_name()
    {
        await store.AppendAsync(Old(1, 50));

        Assert.Equal([new AppendResult.Stored(0, 11, 0)], await store.AppendAsync(Old(20, 30)));
        var message = Changed(Old(20, 30), at: 25);
        var result = Assert.IsType<AppendResult.Rejected>(Assert.Single(await store.AppendAsync(message)));

        Assert.Equal(WaitingFor.Decision, result.WaitsFor);
        Assert.StartsWith($"Reading 25 of boot 1 of \"{Some.Applicator}\" (spread) is stored", result.Reason);
        Assert.Contains(Replaced, result.Reason, StringComparison.Ordinal);
        var listed = Assert.Single(await store.DeadLetters.ListAsync(new(Some.Farm, null, null, 9), default));
        Assert.Equal(result.Reason, listed.Reason);
        Assert.Equal((1, 0), await WaitingAsync());
        await PersistenceTestHost.UntilAsync(async () =>
            (await store.HealthAsync())
                .Entries["store"]
                .Description!.Contains($"decision: {Some.Farm}/{Some.Applicator}.", StringComparison.Ordinal)
        );
        Assert.Empty(await store.Writer.WatermarksAsync([Device], default));
    }

    [DatabaseFact]
    public async Task Messages_of_one_commit_are_compared_with_each_other()
    {
        var results = await store.AppendAsync(Old(1, 10), New(1, 5), Old(3, 12), New(11, 15), Old(1, 4));

        Assert.Equal(new AppendResult.Stored(10, 0, 0), results[0]);
        Assert.Equal(WaitingFor.Decision, Assert.IsType<AppendResult.Rejected>(results[1]).WaitsFor);
        // Two of its readings are new, and nobody knows yet whose they are.
        Assert.Equal(WaitingFor.EarlierDecision, Assert.IsType<AppendResult.Rejected>(results[2]).WaitsFor);
        Assert.Equal(WaitingFor.EarlierDecision, Assert.IsType<AppendResult.Rejected>(results[3]).WaitsFor);
        Assert.Equal(new AppendResult.Stored(0, 4, 0), results[4]);
    }

    [DatabaseFact]
    public async Task New_readings_of_the_device_wait_on_every_stream_and_other_devices_go_on()
    {
        await store.AppendAsync(Old(1, 10));
        await store.AppendAsync(New(1, 5));

        var results = await store.AppendAsync(
            New(11, 15),
            Some.LevelMessage(1, 3, Some.Applicator) with
            {
                Payload = "levels"u8.ToArray(),
            },
            Some.LevelMessage(1, 3),
            Old(1, 10)
        );

        Assert.All(
            results.Take(2),
            one => Assert.Equal(WaitingFor.EarlierDecision, Assert.IsType<AppendResult.Rejected>(one).WaitsFor)
        );
        Assert.Equal([new AppendResult.Stored(3, 0, 0), new AppendResult.Stored(0, 10, 0)], results.Skip(2));
        Assert.Equal((1, 2), await WaitingAsync());
    }

    [DatabaseFact]
    public async Task After_a_message_is_closed_as_wrong_the_device_goes_on_in_its_boot()
    {
        await store.AppendAsync(Old(1, 10));
        await store.AppendAsync(Changed(Old(5, 6), at: 5));
        var listed = Assert.Single(await store.DeadLetters.ListAsync(new(Some.Farm, null, null, 9), default));

        await store.DeadLetters.CloseAsync(listed.Id, "Ada Ash", "Sent by mistake", default);

        Assert.Equal([new AppendResult.Stored(5, 0, 0)], await store.AppendAsync(Old(11, 15)));
        Assert.Equal(
            [new(Device, TelemetryStream.Spread, 1, 15, 15)],
            await store.Writer.WatermarksAsync([Device], default)
        );
    }

    [DatabaseFact]
    public async Task A_hub_that_read_the_farm_before_the_replacement_stores_the_new_device_in_its_own_boots()
    {
        await using var other = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await other.AppendAsync(Old(1, 10), Old(1, 3, boot: 7));
        await other.AppendAsync(New(1, 5));
        await ReplaceAsync(8);

        Assert.Equal([new AppendResult.Stored(5, 0, 0)], await other.AppendAsync(New(1, 5)));
        Assert.Equal([new AppendResult.Stored(2, 1, 0)], await other.AppendAsync(New(5, 7)));
        Assert.Equal([new AppendResult.Stored(3, 0, 0)], await other.AppendAsync(Restarted()));
        // What the old device sent is known under its own boots.
        Assert.Equal([new AppendResult.Stored(0, 8, 0)], await other.AppendAsync(Old(2, 9)));

        Assert.Equal(
            [new(Device, TelemetryStream.Spread, 2, 3, 3), new(Device, TelemetryStream.Spread, 1, 7, 7)],
            await other.Writer.WatermarksAsync([Device], default)
        );
        Assert.Equal(
            9,
            await database.ReadAsync<long>("select announced_last_seq from ingestion.received where boot = 9")
        );
        Assert.Equal(
            [1L, 7, 9, 10],
            await database.ReadAllAsync<long>("select boot from ingestion.received order by 1")
        );
        await store.PostedAsync();
        Assert.Empty((await store.AuditAsync()).Findings);

        // The restarted device says that its boot 1 went up to number 9.
        static DecodedMessage Restarted() => New(1, 3, boot: 2) with { PreviousBoot = new(1, 9) };
    }

    [DatabaseFact]
    public async Task More_than_can_be_compared_in_a_commit_is_sent_again_and_never_acknowledged_unread()
    {
        var messages = Enumerable.Range(0, 35).Select(i => Old((i * 600) + 1, (i + 1) * 600)).ToArray();
        await store.AppendAsync(messages);

        var results = await store.AppendAsync([.. messages[..34], New(20_401, 21_000)]);

        Assert.All(results.Take(34), one => Assert.Equal(new AppendResult.Stored(0, 600, 0), one));
        Assert.IsType<AppendResult.NotCommitted>(results[34]);
        Assert.Equal(20_600, KnownReadings.ReadingsMax);
        Assert.IsType<AppendResult.Rejected>(Assert.Single(await store.AppendAsync(New(20_401, 21_000))));
    }

    private async Task ReplaceAsync(long firstBoot)
    {
        await store.RecordAsync(Some.Farm, new DeviceReplaced(Some.Applicator, firstBoot, "Ada Ash", "New controller"));
        Assert.NotEqual(0, await store.DeadLetters.DecidedAsync(Some.Farm, Some.Applicator, default));
    }

    private async Task<(long Differing, long Later)> WaitingAsync()
    {
        var devices = await store.Devices.DevicesAsync(Some.Farm, default);
        return (devices.Sum(device => device.DifferingMessages), devices.Sum(device => device.LaterMessages));
    }

    private static DecodedMessage Old(long first, long last, long boot = 1) =>
        WithPayload(Some.Message(first, last, boot: boot));

    /// <summary>Another machine's readings: a metre to the east, by its own meter.</summary>
    private static DecodedMessage New(long first, long last, long boot = 1)
    {
        var batch = ((SpreadingMeasured)Some.Message(first, last, boot: boot).Event).Batch;
        return WithPayload(
            Some.Message(first, last, boot: boot) with
            {
                Event = new SpreadingMeasured(
                    batch with
                    {
                        Readings =
                        [
                            .. batch.Readings.Select(it =>
                                it with
                                {
                                    LongitudeE7 = it.LongitudeE7 + 100,
                                    TotalMillilitres = it.TotalMillilitres / 2,
                                }
                            ),
                        ],
                    }
                ),
            }
        );
    }

    private static DecodedMessage Changed(DecodedMessage message, long at)
    {
        var batch = ((SpreadingMeasured)message.Event).Batch;
        var i = (int)(at - batch.FirstSeq);
        var reading = batch.Readings[i] with { FlowMillilitresPerSecond = 1 };
        return message with
        {
            Event = new SpreadingMeasured(batch with { Readings = batch.Readings.SetItem(i, reading) }),
        };
    }

    private static DecodedMessage WithPayload(DecodedMessage message) =>
        message with
        {
            Payload = Encoding.UTF8.GetBytes(((SpreadingMeasured)message.Event).Batch.ToString()!),
        };
}
