using System.Collections.Immutable;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Weather;
using NutrientLedger.Persistence.Messages;

namespace NutrientLedger.Integration.Tests.Persistence.Verification;

/// <summary>
/// Somebody changes the journal in the database and everything beside it that would disagree: rows of streams, the
/// index of batches, received ranges, posted rows. Each event that is left is as it was. The farm's chain shows it.
/// </summary>
public sealed class TamperedJournalTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    private const string Station = "station-1";

    [DatabaseFact]
    public Task A_laboratory_report_moved_in_time_is_found() =>
        IsFoundAsync(
            "update journal.mt_events set timestamp = timestamp - interval '40 days' where type = 'lab_result_reported'",
            "lab_result_reported, stream configuration, version 8",
            "position or time of recording"
        );

    [DatabaseFact]
    public Task Two_configuration_events_swapped_are_found() =>
        IsFoundAsync(
            """
            with two as (
                select seq_id, lead(seq_id) over (order by seq_id) as next, lag(seq_id) over (order by seq_id) as before
                from journal.mt_events where type = 'sensor_mounted'
            )
            update journal.mt_events as e set seq_id = -coalesce(next, before) from two where two.seq_id = e.seq_id;
            update journal.mt_events set seq_id = -seq_id where seq_id < 0;
            """,
            "sensor_mounted, stream configuration, version 6",
            "position or time of recording"
        );

    [DatabaseFact]
    public Task A_stream_removed_with_its_row_is_found() =>
        IsFoundAsync(
            $"""
            delete from journal.mt_events where stream_id like '{Station}%';
            delete from journal.mt_streams where id like '{Station}%';
            delete from journal.batch_span where equipment = '{Station}';
            delete from ingestion.received where equipment = '{Station}';
            """,
            "its event is gone"
        );

    [DatabaseFact]
    public Task The_end_of_a_stream_cut_off_is_found() =>
        IsFoundAsync(
            $"""
            delete from journal.mt_events where stream_id like '{Station}%' and version = 3;
            update journal.mt_streams set version = 2 where id like '{Station}%';
            delete from journal.batch_span where equipment = '{Station}' and first_seq = 21;
            update ingestion.received set ranges = earlier.ranges, range_ends = earlier.range_ends from earlier;
            """,
            "its event is gone"
        );

    [DatabaseFact]
    public Task A_farm_whose_configuration_is_gone_is_found() =>
        IsFoundAsync(
            """
            delete from journal.mt_events where stream_id = 'configuration';
            delete from journal.mt_streams where id = 'configuration';
            delete from ledger.farm;
            """,
            "the farm's configuration is gone"
        );

    [DatabaseFact]
    public Task An_event_that_is_not_in_the_farms_chain_is_found() =>
        IsFoundAsync(
            "delete from journal.chain where position = (select max(position) from journal.chain)",
            "weather_measured, stream station-1/weather",
            "is not in the farm's chain"
        );

    [DatabaseFact]
    public Task Another_id_is_found() =>
        IsFoundAsync(
            "update journal.mt_events set id = gen_random_uuid() where type = 'lab_result_reported'",
            "version 8: the event does not match its chain hash"
        );

    [DatabaseFact]
    public async Task The_same_readings_in_two_batches_are_found()
    {
        await using var store = await FarmAsync();
        await database.RunAsync(
            "update ingestion.received set ranges = earlier.ranges, range_ends = earlier.range_ends from earlier"
        );
        await store.AppendAsync(Weather(25, 30));

        Assert.Contains(
            "station-1/weather boot 1: readings with a number that another batch has too: 6",
            (await store.AuditAsync()).Findings
        );
    }

    [DatabaseFact]
    public Task Received_ranges_from_a_later_moment_than_the_journal_are_found() =>
        IsFoundAsync(
            $"""
            delete from journal.mt_events where stream_id like '{Station}%' and version = 3;
            update journal.mt_streams set version = 2 where id like '{Station}%';
            delete from journal.batch_span where equipment = '{Station}' and first_seq = 21;
            """,
            "station-1/weather boot 1: numbers 21 to 30 count as received, but no batch has them"
        );

    private async Task IsFoundAsync(string sql, params string[] words)
    {
        await using var store = await FarmAsync();
        Assert.Empty((await store.AuditAsync()).Findings);
        await database.RunAsync(sql);
        var findings = (await store.AuditAsync()).Findings;
        Assert.True(
            findings.Any(finding => words.All(word => finding.Contains(word, StringComparison.Ordinal))),
            $"Found: {string.Join("; ", findings)}"
        );
    }

    private async Task<PersistenceTestHost> FarmAsync()
    {
        await database.EmptyAsync();
        var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.RecordAsync(Some.Farm, [.. Some.ConfigurationEvents(), Report]);
        await store.AppendAsync(Weather(1, 10));
        await store.AppendAsync(Weather(11, 20));
        await database.RunAsync("create table earlier as select * from ingestion.received");
        await store.AppendAsync(Weather(21, 30));
        await store.PostedAsync();
        return store;
    }

    private static LabResultReported Report =>
        new(
            "r-1",
            "jar 1",
            "Fen Street laboratory",
            Some.Morning,
            Some.Morning,
            "pit",
            null,
            "grab",
            new(2026, 10, 9),
            [],
            null,
            "Ada Ash"
        );

    private static DecodedMessage Weather(long first, long last)
    {
        var readings = Some.Numbers(first, last)
            .Select(seq => new WeatherReading(Some.Morning.ToUnixTimeMilliseconds() + (seq * 60_000), 12_000))
            .ToImmutableArray();
        return new(
            Some.Farm,
            new WeatherMeasured(new(Station, 1, first, readings)),
            $"agri/v1/{Some.Farm}/{Station}/weather",
            new byte[] { 1, 2, 3 }
        );
    }
}
