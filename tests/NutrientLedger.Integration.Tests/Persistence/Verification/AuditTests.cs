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
    public Task A_missing_tile_is_found() =>
        IsFoundAsync("delete from ledger.tile where tile_row = (select max(tile_row) from ledger.tile)", "tile");

    [DatabaseFact]
    public Task A_partition_that_is_not_read_is_found() => IsFoundAsync("delete from ledger.partition", "line");

    [DatabaseFact]
    public Task A_row_of_a_generation_to_come_is_found() =>
        IsFoundAsync(
            """
            insert into ledger.flag select farm, season, applicator, generation + 1, field, hour, pit, sensor, 'Any', 1,
                1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0 from ledger.line limit 1
            """,
            "of no generation that is read: 1"
        );

    [DatabaseFact]
    public Task A_changed_reading_at_the_end_of_a_received_range_is_found() =>
        IsFoundAsync(
            "update ingestion.received set range_ends = array[range_ends[1], range_ends[1]] where stream = 'spread'",
            "kept of number 300"
        );

    [DatabaseTheory]
    [InlineData("delete from journal.batch_span where first_seq = 101", "has no batch, but the event is", "101 to 200")]
    [InlineData("update journal.batch_span set measured_to = measured_to + 1 where first_seq = 101", "101 to 200")]
    [InlineData("update journal.batch_span set boot = 2 where first_seq = 101", "boot 2, numbers 101 to 200")]
    [InlineData("update journal.batch_span set position = 999 where first_seq = 101", "has no batch, but the event is")]
    [InlineData("update journal.batch_span set last_seq = 101 where first_seq = 1", "that another batch has too: 1")]
    [InlineData(
        """
            insert into journal.batch_span (farm, stream, equipment, boot, first_seq, last_seq, measured_from, measured_to, position)
            values ('alder-bank', 'spread', 'spreader-1', 7, 3, 4, 0, 0, 1)
            """,
        "spreader-1/spread boot 7, numbers 3 to 4",
        "at position 1, where the journal has no batch"
    )]
    public Task A_changed_index_of_batches_is_found(string sql, params string[] words) => IsFoundAsync(sql, words);

    [DatabaseTheory]
    [InlineData(
        "delete from ingestion.received where stream = 'spread'",
        "spreader-1/spread boot 1: numbers 1 to 300 are in batches, but do not count as received"
    )]
    [InlineData(
        "update ingestion.received set ranges = ranges + '{[400,500)}' where stream = 'spread'",
        "spreader-1/spread boot 1: numbers 400 to 499 count as received, but no batch has them"
    )]
    [InlineData(
        "update ingestion.received set ranges = ranges - '{[7,8),[50,61)}' where stream = 'store'",
        "gauge-1/store boot 1: numbers 7 to 7, 50 to 60 are in batches"
    )]
    public Task Changed_received_ranges_are_found(string sql, params string[] words) => IsFoundAsync(sql, words);

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
