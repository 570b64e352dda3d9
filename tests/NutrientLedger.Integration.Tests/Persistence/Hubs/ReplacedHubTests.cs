using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting.Internal;
using Microsoft.Extensions.Logging.Abstractions;
using Microsoft.Extensions.Time.Testing;
using Npgsql;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Persistence.Hubs;
using NutrientLedger.Persistence.Messages;

namespace NutrientLedger.Integration.Tests.Persistence.Hubs;

/// <summary>A hub that another one has replaced writes nothing, and its connections are gone.</summary>
public sealed class ReplacedHubTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    [DatabaseFact]
    public async Task A_replaced_hub_appends_nothing()
    {
        await using var hub = await StartAsync();
        await hub.RecordAsync(Some.Farm, Some.ConfigurationEvents());
        await hub.AppendAsync(Some.Message(1, 10));
        var before = await database.ReadAsync<long>("select count(*) from journal.event");
        await database.RunAsync("delete from ingestion.hub");

        await Assert.ThrowsAsync<HubReplacedException>(() => hub.AppendAsync(Some.Message(11, 20)));
        var rejected = new RejectedMessage("agri/v1/x/y/store", "?"u8.ToArray(), "unreadable", null);
        await Assert.ThrowsAsync<HubReplacedException>(() =>
            hub.Writer.AppendAsync([], [rejected], CancellationToken.None)
        );

        Assert.Equal(before, await database.ReadAsync<long>("select count(*) from journal.event"));
        Assert.Equal(0, await database.ReadAsync<long>("select count(*) from ingestion.dead_letter"));
    }

    [DatabaseFact]
    public async Task A_hub_is_replaced_only_when_no_append_of_its_runs_and_ending_its_connections_ends_that_append()
    {
        await using var hub = await StartAsync();
        await using var other = NpgsqlDataSource.Create(database.ConnectionString);
        var self = HubIdentity.Create("frozen");
        await HubRows.AddAsync(other, self.Name, CancellationToken.None);
        var beat = (await HubRows.OthersAsync(other, "", CancellationToken.None))
            .Single(it => it.Name == self.Name)
            .BeatAt;
        await using var frozen = new NpgsqlConnection($"{database.ConnectionString};Application Name={self.Name}");
        await frozen.OpenAsync();
        await using var append = await frozen.BeginTransactionAsync();
        await HubRows.RequireAsync(frozen, self, CancellationToken.None);

        Assert.False(await HubRows.RemoveSilentAsync(other, self.Name, beat, CancellationToken.None));
        Assert.Equal(1, await HubRows.EndConnectionsAsync(other, [self.Name], CancellationToken.None));
        Assert.False(await HubRows.RemoveSilentAsync(other, self.Name, beat.AddSeconds(1), CancellationToken.None));
        Assert.True(await HubRows.RemoveSilentAsync(other, self.Name, beat, CancellationToken.None));

        await Assert.ThrowsAnyAsync<NpgsqlException>(() => append.CommitAsync());
    }

    [DatabaseFact]
    public async Task A_hub_whose_work_stands_still_gives_no_sign_of_life()
    {
        await using var hub = await StartAsync();
        await using var source = NpgsqlDataSource.Create(database.ConnectionString);
        var (clock, work) = (new FakeTimeProvider(), new Work());
        var self = HubIdentity.Create(null);
        var lifetime = new ApplicationLifetime(NullLogger<ApplicationLifetime>.Instance);
        using var beat = new HubBeat(source, self, [work], clock, lifetime, NullLogger<HubBeat>.Instance);
        await beat.StartAsync(CancellationToken.None);
        var started = await BeatAtAsync();
        await RoundsAsync(2);
        Assert.NotEqual(started, await BeatAtAsync());

        work.Standstill = "The work stands still";
        await RoundsAsync(2);
        var last = await BeatAtAsync();
        await RoundsAsync(2);

        Assert.Equal(last, await BeatAtAsync());
        await beat.StopAsync(CancellationToken.None);
        Assert.Equal(
            0,
            await database.ReadAsync<long>($"select count(*) from ingestion.hub where name = '{self.Name}'")
        );

        Task<DateTime> BeatAtAsync() =>
            database.ReadAsync<DateTime>($"select beat_at from ingestion.hub where name = '{self.Name}'");

        // A round asks for the work first. So when it is asked once more, the round before is over.
        async Task RoundsAsync(int count)
        {
            for (var end = work.Asked + count; work.Asked < end; await Task.Yield())
                clock.Advance(SilentHubs.Interval);
        }
    }

    private async Task<PersistenceTestHost> StartAsync()
    {
        await database.EmptyAsync();
        // With a clock that stands, the hub's own beat does nothing.
        return await PersistenceTestHost.StartAsync(
            database.ConnectionString,
            configure: services => services.AddSingleton<TimeProvider>(new FakeTimeProvider(DateTimeOffset.UnixEpoch))
        );
    }

    private sealed class Work : IHubWork
    {
        private int asked;
        private volatile string? standstill;

        public int Asked => Volatile.Read(ref asked);

        public string? Standstill
        {
            get
            {
                Interlocked.Increment(ref asked);
                return standstill;
            }
            set => standstill = value;
        }
    }
}
