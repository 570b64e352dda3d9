using Microsoft.Extensions.DependencyInjection;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Persistence.Messages;

namespace NutrientLedger.Integration.Tests.Persistence.Appending;

public sealed class AppendStateTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    [DatabaseFact]
    public async Task Farms_and_boots_of_one_commit_are_stored_each_in_its_place()
    {
        await using var store = await StartAsync(TimeProvider.System, "first", "second");

        var results = await store.AppendAsync(
            Some.Message(1, 3, "second", boot: 2),
            Some.Message(1, 4, "first"),
            Some.Message(1, 5, "second"),
            Some.Message(3, 6, "first")
        );

        Assert.Equal([Stored(3), Stored(4), Stored(5), new AppendResult.Stored(2, 2, 0)], results);
        Assert.Equal((6, 2), await CountsAsync(store, "first"));
        Assert.Equal((8, 0), await CountsAsync(store, "second"));
        foreach (var farm in (string[])["first", "second"])
            Assert.DoesNotContain(
                "hash",
                string.Join(' ', (await store.AuditAsync(farm)).Findings),
                StringComparison.Ordinal
            );
    }

    [DatabaseFact]
    public async Task A_commit_over_midnight_goes_on_with_the_stream_of_the_new_day()
    {
        var clock = new JumpingClock();
        await using var store = await StartAsync(clock, "late");
        clock.Times.Enqueue(JumpingClock.Midnight);
        await store.AppendAsync(Some.Message(1, 3, "late"));

        // Read before midnight, decided after it.
        clock.Times.Enqueue(JumpingClock.Midnight.AddSeconds(-1));
        Assert.Equal([Stored(3)], await store.AppendAsync(Some.Message(4, 6, "late")));

        Assert.Equal(
            2,
            await database.ReadAsync<long>(
                "select version from journal.stream where farm = 'late' and stream like '%/spread/2026-11-02'"
            )
        );
    }

    private static AppendResult.Stored Stored(int readings) => new(readings, 0, 0);

    private async Task<PersistenceTestHost> StartAsync(TimeProvider clock, params string[] farms)
    {
        var store = await PersistenceTestHost.StartAsync(
            database.ConnectionString,
            keepsLedgersCurrent: false,
            services => services.AddSingleton(clock)
        );
        foreach (var farm in farms)
            await store.RecordAsync(farm, Some.ConfigurationEvents());
        return store;
    }

    private static async Task<(long Stored, long Duplicates)> CountsAsync(PersistenceTestHost store, string farm)
    {
        var device = Assert.Single(await store.Devices.DevicesAsync(farm, CancellationToken.None));
        return (device.ReadingsStored, device.ReadingsDuplicate);
    }

    /// <summary>A clock that shows the queued times first, then midnight of 2 November 2026 (UTC).</summary>
    private sealed class JumpingClock : TimeProvider
    {
        public static readonly DateTimeOffset Midnight = new(2026, 11, 2, 0, 0, 0, TimeSpan.Zero);

        public Queue<DateTimeOffset> Times { get; } = [];

        public override DateTimeOffset GetUtcNow() => Times.TryDequeue(out var time) ? time : Midnight;
    }
}
