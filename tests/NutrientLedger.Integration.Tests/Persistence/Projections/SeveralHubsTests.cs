using System.Diagnostics;
using Npgsql;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Persistence.Projections;

public sealed class SeveralHubsTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    /// <summary>Three times as long as posting waits for a number that nobody seems about to use.</summary>
    private static readonly TimeSpan Slow = TimeSpan.FromSeconds(1);

    [DatabaseFact]
    public async Task Hubs_that_start_at_once_on_an_empty_database_all_run()
    {
        await database.EmptyAsync();
        var hubs = await Task.WhenAll(
            Enumerable
                .Range(0, 4)
                .Select(_ => Task.Run(() => PersistenceTestHost.StartAsync(database.ConnectionString)))
        );
        await hubs[0].RecordAsync("common", Some.ConfigurationEvents());
        foreach (var (hub, i) in hubs.Select((hub, i) => (hub, i)))
            await hub.AppendAsync(Some.Message((i * 10) + 1, (i * 10) + 10, "common"));
        await hubs[0].PostedAsync();
        Assert.Empty((await hubs[0].AuditAsync("common")).Findings);
        foreach (var hub in hubs)
            await hub.DisposeAsync();
    }

    /// <summary>
    /// An append takes its numbers before it commits. Meanwhile others with higher numbers commit. Posting must not
    /// skip the numbers still to come.
    /// </summary>
    [DatabaseFact]
    public async Task Posting_waits_for_an_append_that_takes_long_to_commit()
    {
        await using var hub = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await using var other = await PersistenceTestHost.StartAsync(
            database.ConnectionString,
            keepsLedgersCurrent: false
        );
        await hub.RecordAsync("slow", Some.ConfigurationEvents());
        await hub.RecordAsync("quick", Some.ConfigurationEvents());
        await hub.PostedAsync();
        await database.RunAsync(
            """
            create function wait_for_test() returns trigger language plpgsql as $$
            begin perform pg_advisory_xact_lock(4711); return null; end $$;
            create trigger wait_for_test after insert on journal.mt_events
                for each row when (new.tenant_id = 'slow') execute function wait_for_test();
            """
        );
        await using var source = NpgsqlDataSource.Create(database.ConnectionString);
        await using var holding = await source.OpenConnectionAsync();
        await using (var hold = new NpgsqlCommand("select pg_advisory_lock(4711)", holding))
            await hold.ExecuteNonQueryAsync();

        var slow = other.AppendAsync(Some.Message(1, 100, "slow"));
        await PersistenceTestHost.UntilAsync(async () =>
            await database.ReadAsync<long>(
                "select count(*) from pg_locks where locktype = 'advisory' and not granted and database = (select oid from pg_database where datname = current_database())"
            ) > 0
        );
        long appended = 0;
        for (var begun = Stopwatch.GetTimestamp(); Stopwatch.GetElapsedTime(begun) < Slow; appended += 10)
            await hub.AppendAsync(Some.Message(appended + 1, appended + 10, "quick"));
        Assert.False(slow.IsCompleted);
        await using (var release = new NpgsqlCommand("select pg_advisory_unlock(4711)", holding))
            await release.ExecuteNonQueryAsync();
        await slow;

        await hub.PostedAsync();
        foreach (var (farm, readings) in ((string, long)[])[("slow", 100), ("quick", appended)])
        {
            var lines = (await hub.ReadAsync(farm)).Lines.Values;
            Assert.Equal(
                (readings - 1) * 30_000,
                lines.Sum(line => line.VolumeMillilitres + line.DisengagedMillilitres + line.NotPlacedMillilitres)
            );
            Assert.Empty((await hub.AuditAsync(farm)).Findings);
        }
    }
}
