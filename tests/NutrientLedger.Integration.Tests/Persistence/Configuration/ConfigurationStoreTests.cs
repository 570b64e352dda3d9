using System.Text;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Persistence.Configuration;

namespace NutrientLedger.Integration.Tests.Persistence.Configuration;

public sealed class ConfigurationStoreTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    [DatabaseFact]
    public async Task What_is_recorded_reads_back_as_it_was_written()
    {
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        var events = Some.ConfigurationEvents();
        await store.RecordAsync("first-farm", events);
        var read = await store.Configurations.ReadAsync("first-farm", asOf: null, CancellationToken.None);
        Assert.Equal(events.Select(Printed), read.Events.Select(recorded => Printed(recorded.Event)));
        Assert.Equal(Some.Numbers(1, events.Count), read.Events.Select(recorded => recorded.Version));
        Assert.Equal(events.Count, read.Version);
        Assert.Equal("Alder Bank", read.Configuration.Farm?.Name);
        Assert.Contains("first-farm", await store.Configurations.FarmsAsync(CancellationToken.None));
    }

    [DatabaseFact]
    public async Task A_configuration_can_be_read_as_of_an_earlier_position()
    {
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.RecordAsync("second-farm", Some.ConfigurationEvents());
        var before = await store.Configurations.ReadAsync("second-farm", asOf: null, CancellationToken.None);
        await store.RecordAsync("second-farm", Some.Redrawn(-950_050_000));
        var then = await store.Configurations.ReadAsync(
            "second-farm",
            before.Events[^1].Position,
            CancellationToken.None
        );
        Assert.Equal(before.Version, then.Version);
        Assert.Equal(before.Events.Select(@event => @event.Position), then.Events.Select(@event => @event.Position));
    }

    [DatabaseFact]
    public async Task Of_two_writers_of_one_configuration_one_must_read_again()
    {
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.RecordAsync("third-farm", Some.ConfigurationEvents());
        var place = (await store.Configurations.ReadAsync("third-farm", asOf: null, CancellationToken.None)).Version;
        var attempts = Enumerable
            .Range(0, 8)
            .Select(i =>
                store.Configurations.RecordAsync(
                    "third-farm",
                    place,
                    [Some.Redrawn(-950_050_000 - i)],
                    CancellationToken.None
                )
            )
            .ToArray();
        // The eight are checked one by one below, so the failure of all but one does not end the test here.
        await Task.WhenAny(Task.WhenAll(attempts));
        _ = Assert.Single(attempts, attempt => attempt.IsCompletedSuccessfully);
        Assert.All(
            attempts.Where(attempt => attempt.IsFaulted),
            attempt => Assert.IsType<ConfigurationConflictException>(attempt.Exception!.InnerException)
        );
        Assert.Equal(
            place + 1,
            (await store.Configurations.ReadAsync("third-farm", null, CancellationToken.None)).Version
        );
    }

    [DatabaseFact]
    public async Task An_unknown_farm_has_an_empty_configuration()
    {
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        var read = await store.Configurations.ReadAsync("nobody", asOf: null, CancellationToken.None);
        Assert.Equal((0, 0), (read.Version, read.Events.Count));
    }

    private static string Printed(IJournalEvent @event) =>
        EventTypes.NameOf(@event) + Encoding.UTF8.GetString(EventCodec.Encode(@event));
}
