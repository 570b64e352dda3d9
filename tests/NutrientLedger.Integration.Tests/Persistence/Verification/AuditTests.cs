using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Persistence.Verification;

public sealed class AuditTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    private const string Spreading = "type = 'spreading_measured' and version = 2";

    [DatabaseFact]
    public async Task An_untouched_farm_has_no_findings()
    {
        await using var store = await FarmAsync();
        var report = await store.AuditAsync();
        Assert.Empty(report.Findings);
        Assert.Equal((Some.ConfigurationEvents().Count + 5, 3), (report.Events, report.Streams));
        Assert.True(report is { Lines: > 0, Tiles: > 0, LevelHours: > 0 });
    }

    [DatabaseFact]
    public Task A_changed_batch_is_found() =>
        IsFoundAsync(
            $"update journal.mt_events set bdata = set_byte(bdata, 40, get_byte(bdata, 40) # 2) where {Spreading}",
            "spreader-1/spread/",
            "version 2"
        );

    [DatabaseFact]
    public Task An_unreadable_batch_is_found() =>
        IsFoundAsync($"update journal.mt_events set bdata = '\\x63' where {Spreading}", "version 2", "cannot be read");

    [DatabaseFact]
    public Task A_changed_configuration_event_is_found() =>
        IsFoundAsync(
            "update journal.mt_events set data = jsonb_set(data, '{workingWidthMillimetres}', '12000') "
                + "where type = 'applicator_registered'",
            "configuration",
            "version 4"
        );

    [DatabaseFact]
    public Task A_removed_event_is_found() =>
        IsFoundAsync($"delete from journal.mt_events where {Spreading}", "version 2 is missing");

    [DatabaseFact]
    public Task A_removed_last_event_is_found() =>
        IsFoundAsync(
            "delete from journal.mt_events where type = 'spreading_measured' and version = 3",
            "ends at version 2, but 3 were appended"
        );

    [DatabaseFact]
    public Task An_event_under_another_name_is_found() =>
        IsFoundAsync($"update journal.mt_events set type = 'weather_measured' where {Spreading}", "version 2");

    [DatabaseFact]
    public Task An_event_turned_into_a_tombstone_is_found() =>
        IsFoundAsync($"update journal.mt_events set type = 'tombstone' where {Spreading}", "version 2 is missing");

    [DatabaseFact]
    public async Task Tombstones_of_failed_appends_are_no_findings()
    {
        await using var store = await FarmAsync();
        await database.RunAsync(
            """
            insert into journal.mt_streams (id, tenant_id, version) values ('mt_tombstone', 'alder-bank', 0);
            insert into journal.mt_events (seq_id, id, stream_id, version, data, type, timestamp, tenant_id, is_archived)
            values (nextval('journal.mt_events_sequence'), gen_random_uuid(), 'mt_tombstone', 464, '{}', 'tombstone',
                '-infinity', 'alder-bank', false)
            """
        );
        Assert.Empty((await store.AuditAsync()).Findings);
    }

    [DatabaseFact]
    public Task A_changed_line_is_found() =>
        IsFoundAsync("update ledger.line set volume = volume + 1 where field = 'home'", "line");

    [DatabaseFact]
    public Task A_changed_level_hour_is_found() => IsFoundAsync("delete from ledger.level", "level hour");

    [DatabaseFact]
    public Task Changed_counts_beside_a_tile_are_found() =>
        IsFoundAsync("update ledger.tile set covered = set_byte(covered, 0, get_byte(covered, 0) + 1)", "coverage");

    private async Task IsFoundAsync(string sql, params string[] words)
    {
        await using var store = await FarmAsync();
        await database.RunAsync(sql);
        var findings = (await store.AuditAsync()).Findings;
        Assert.Contains(findings, finding => words.All(word => finding.Contains(word, StringComparison.Ordinal)));
    }

    private async Task<PersistenceTestHost> FarmAsync()
    {
        await database.EmptyAsync();
        var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
        foreach (var first in (long[])[1, 101, 201])
            await store.AppendAsync(Some.Message(first, first + 99));
        await store.AppendAsync(Some.LevelMessage(1, 30));
        await store.AppendAsync(Some.LevelMessage(31, 60));
        await store.PostedAsync();
        return store;
    }
}
