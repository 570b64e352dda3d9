using JasperFx.Events.Daemon;
using Marten;
using Npgsql;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Persistence.Projections;

/// <summary>
/// A posting hub may lose the leadership without noticing, or never learn that its commit succeeded. Then the same
/// event batch is posted again, by itself or by another hub at the same time. The ledger must not change.
/// </summary>
public sealed class PostedOnceTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    [DatabaseFact]
    public async Task An_event_batch_that_is_posted_again_adds_nothing()
    {
        await using (var before = await PersistenceTestHost.StartAsync(database.ConnectionString))
        {
            await before.RecordAsync(Some.Farm, Some.ConfigurationEvents());
            foreach (var i in Some.Numbers(0, 9))
                await before.AppendAsync(
                    Some.Message((i * 10) + 1, (i * 10) + 10),
                    Some.LevelMessage((i * 5) + 1, (i * 5) + 5)
                );
            await before.PostedAsync();
        }
        await database.RunAsync(
            "update journal.mt_event_progression set last_seq_id = last_seq_id - 7 where name = 'Ledger:All'"
        );
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.AppendAsync(Some.Message(101, 110));
        await store.PostedAsync();
        await AssertPostedOnceAsync(store, readings: 110);
    }

    [DatabaseFact]
    public async Task Two_hubs_that_both_claim_the_leadership_post_an_event_batch_once()
    {
        await using var first = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await first.RecordAsync("led", Some.ConfigurationEvents());
        await first.AppendAsync(Some.Message(1, 100, "led"));
        await first.PostedAsync();
        // Does not check the leadership, like a hub that has lost it without noticing.
        await using var second = await PersistenceTestHost.StartAsync(
            database.ConnectionString,
            configure: services => services.ConfigureMarten(options => options.Projections.AsyncMode = DaemonMode.Solo)
        );
        await database.RunAsync(
            """
            create function wait_for_test() returns trigger language plpgsql as $$
            begin perform pg_advisory_xact_lock_shared(4711); return new; end $$;
            create trigger wait_for_test before insert on ledger.line
                for each row execute function wait_for_test();
            """
        );
        await using var source = NpgsqlDataSource.Create(database.ConnectionString);
        await using var holding = await source.OpenConnectionAsync();
        await RunAsync(holding, "select pg_advisory_lock(4711)");

        await first.AppendAsync(Some.Message(101, 200, "led"));
        await UntilBothWaitAsync();
        await RunAsync(holding, "select pg_advisory_unlock(4711)");
        await first.AppendAsync(Some.Message(201, 210, "led"));
        await first.PostedAsync();
        await AssertPostedOnceAsync(first, readings: 210, "led");
    }

    private static async Task AssertPostedOnceAsync(PersistenceTestHost store, long readings, string farm = Some.Farm)
    {
        Assert.Empty((await store.AuditAsync(farm)).Findings);
        var lines = (await store.ReadAsync(farm)).Lines.Values;
        Assert.Equal(
            (readings - 1) * 30_000,
            lines.Sum(line => line.VolumeMillilitres + line.DisengagedMillilitres + line.NotPlacedMillilitres)
        );
    }

    /// <summary>
    /// Waits until two transactions wait with an event batch half written, for the test or for each other.
    /// </summary>
    private Task UntilBothWaitAsync() =>
        PersistenceTestHost.UntilAsync(async () =>
            await database.ReadAsync<long>(
                """
                select count(*) from pg_stat_activity
                where datname = current_database() and wait_event_type = 'Lock' and (query like '%ledger.%' or query like '%event_progression%')
                """
            ) >= 2
        );

    private static async Task RunAsync(NpgsqlConnection connection, string sql)
    {
        await using var command = new NpgsqlCommand(sql, connection);
        await command.ExecuteNonQueryAsync();
    }
}
