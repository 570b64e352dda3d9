using Npgsql;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Persistence.Rebuild;

/// <summary>
/// A configuration event that changes lines starts a rebuild into a shadow generation. A lock stops it here: every row
/// of a later generation waits for it.
/// </summary>
public sealed class CorrectionServiceTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    private const int NarrowE7 = -949_999_500;

    [DatabaseFact]
    public async Task While_a_correction_is_posted_its_farm_and_others_continue_and_responses_say_so()
    {
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        foreach (var farm in (string[])["wide", "other"])
        {
            await store.RecordAsync(farm, Some.ConfigurationEvents());
            await store.AppendAsync(Some.Message(1, 400, farm));
        }
        await store.PostedAsync();
        var before = await store.ReadAsync("wide");
        Assert.False(before.IsBeingCorrected);
        await using var source = NpgsqlDataSource.Create(database.ConnectionString);
        await using var holding = await StandStillAsync(source);

        await store.RecordAsync("wide", Some.Redrawn(NarrowE7));
        await PersistenceTestHost.UntilAsync(async () => (await store.ReadAsync("wide")).IsBeingCorrected);
        await store.AppendAsync(Some.Message(401, 800, "wide"), Some.Message(401, 800, "other"));
        await PersistenceTestHost.UntilAsync(async () =>
            Metered(await store.ReadAsync("wide")) == 799 * 30_000L
            && Metered(await store.ReadAsync("other")) == 799 * 30_000L
        );
        var pending = await store.ReadAsync("wide");
        Assert.True(pending.IsBeingCorrected);
        Assert.False((await store.ReadAsync("other")).IsBeingCorrected);
        // The lines are still those of the configuration before, and an audit that knows it finds nothing wrong.
        Assert.All(before.Lines.Keys, key => Assert.Contains(key, pending.Lines.Keys));
        Assert.Empty((await store.AuditAsync("wide")).Findings);
        var (journal, posted) = await store.Devices.PositionsAsync(CancellationToken.None);
        Assert.True(posted < journal);

        await holding.DisposeAsync();
        var position = await store.PostedAsync();
        var after = await store.ReadAsync("wide");
        Assert.False(after.IsBeingCorrected);
        Assert.True(Outside(after) > Outside(pending));
        Assert.Equal((await store.ReadAsync("wide", position)).Lines.Count, after.Lines.Count);
        Assert.Empty((await store.AuditAsync("wide")).Findings);
    }

    [DatabaseFact]
    public async Task A_configuration_that_changes_again_during_a_correction_is_the_one_that_counts()
    {
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.RecordAsync("twice", Some.ConfigurationEvents());
        await store.AppendAsync(Some.Message(1, 600, "twice"));
        await store.PostedAsync();
        var first = await store.ReadAsync("twice");
        await using var source = NpgsqlDataSource.Create(database.ConnectionString);
        await using (await StandStillAsync(source))
        {
            await store.RecordAsync("twice", Some.Redrawn(NarrowE7));
            await PersistenceTestHost.UntilAsync(async () => (await store.ReadAsync("twice")).IsBeingCorrected);
            await store.RecordAsync("twice", Some.Redrawn(-950_100_000));
            await PersistenceTestHost.UntilAsync(async () =>
                await database.ReadAsync<bool>(
                    "select wanted_configuration_position = (select max(event.position) from journal.event) from ledger.farm where farm = 'twice'"
                )
            );
        }
        await store.PostedAsync();
        var last = await store.ReadAsync("twice");
        Assert.Equal(first.Lines.OrderBy(Key), last.Lines.OrderBy(Key));
        Assert.Empty((await store.AuditAsync("twice")).Findings);
        await PersistenceTestHost.UntilAsync(async () =>
            await database.ReadAsync<long>("select count(distinct generation) from ledger.line where farm = 'twice'")
            == 1
        );

        static string Key<TKey, TValue>(KeyValuePair<TKey, TValue> line) => $"{line.Key}";
    }

    [DatabaseFact]
    public async Task Rows_that_a_killed_hub_left_are_deleted_by_the_next_one_in_every_table()
    {
        await using (var store = await PersistenceTestHost.StartAsync(database.ConnectionString))
        {
            await store.RecordAsync("left", Some.ConfigurationEvents());
            await store.AppendAsync(Some.Message(1, 10, "left"));
            await store.PostedAsync();
        }
        await database.RunAsync(
            """
            insert into ledger.flag (farm, generation, field, season, hour, applicator, pit, sensor, rule, intervals, volume,
                dm_sum, dm_without, tn_sum, tn_without, nh4n_sum, nh4n_without, p_sum, p_without, k_sum, k_without)
            values ('left', 7, 'home', 2026, 0, 'a', '', '', 'Any', 1, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0);
            update ledger.farm set has_shadow_rows = true
            """
        );
        await using var next = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await PersistenceTestHost.UntilAsync(async () =>
            await database.ReadAsync<long>("select count(*) from ledger.flag where generation = 7") == 0
        );
    }

    private static long Metered(NutrientLedger.Persistence.Queries.LedgerView view) =>
        view.Lines.Values.Sum(line => line.VolumeMillilitres + line.DisengagedMillilitres + line.NotPlacedMillilitres);

    private static long Outside(NutrientLedger.Persistence.Queries.LedgerView view) =>
        view.Lines.Where(line => line.Key.FieldId.Length == 0).Sum(line => line.Value.VolumeMillilitres);

    private async Task<NpgsqlConnection> StandStillAsync(NpgsqlDataSource source)
    {
        await database.RunAsync(
            """
            create or replace function wait_in_rebuild() returns trigger language plpgsql as $$
            begin
                if new.generation > 1 then perform pg_advisory_xact_lock_shared(4712); end if;
                return new;
            end $$;
            create or replace trigger wait_in_rebuild before insert on ledger.line for each row execute function wait_in_rebuild();
            """
        );
        var holding = await source.OpenConnectionAsync();
        await using var hold = new NpgsqlCommand("begin; select pg_advisory_xact_lock(4712)", holding);
        await hold.ExecuteNonQueryAsync();
        return holding;
    }
}
