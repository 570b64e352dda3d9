using Microsoft.Extensions.Diagnostics.HealthChecks;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Readings;

namespace NutrientLedger.Integration.Tests.Persistence.Projections;

/// <summary>Events that cannot be read: what is posted all the same, and what is said about them.</summary>
public sealed class PoisonTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    private const string Other = "other-farm";

    /// <summary>Two farms have three batches each. The second one of one farm cannot be read.</summary>
    [DatabaseFact]
    public async Task A_batch_that_cannot_be_posted_is_named_and_all_others_are_posted()
    {
        await AppendedAsync();
        await DamageAsync();
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.PostedAsync();
        // The third batch knows the reading before it.
        var (first, third) = (Volume(1, 100), Volume(200, 300));

        Assert.Equal((first + third, 1), await PostedAsync(store));
        Assert.Equal((Volume(1, 300), 0), await PostedAsync(store, Other));
        await store.AppendAsync(Some.Message(301, 400), Some.Message(301, 400, Other));
        var position = await store.PostedAsync();
        Assert.Equal((first + third + Volume(300, 400), 1), await PostedAsync(store));
        Assert.Equal((Volume(1, 400), 0), await PostedAsync(store, Other));
        Assert.Equal(1, (await store.ReadAsync(asOf: position)).UnpostedBatches);

        var health = await store.HealthAsync();
        Assert.Equal(HealthStatus.Degraded, health.Status);
        Assert.Contains(
            "readings 101 to 200 of boot 1 of spreader-1) is not posted",
            health.Entries["store"].Description,
            StringComparison.Ordinal
        );
        Assert.Contains(
            (await store.AuditAsync()).Findings,
            finding => finding.Contains("is not posted", StringComparison.Ordinal)
        );
        Assert.Empty((await store.AuditAsync(Other)).Findings);

        // A rebuild of everything can post no more.
        await store.Replay.RunAsync(Some.Farm, switchOver: true, null, CancellationToken.None);
        Assert.Equal((first + third + Volume(300, 400), 1), await PostedAsync(store));
    }

    [DatabaseFact]
    public async Task Once_all_its_readings_are_void_nothing_is_missing_any_more()
    {
        await AppendedAsync();
        await DamageAsync();
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.PostedAsync();

        await store.RecordAsync(Some.Farm, Void("v", 101, 199));
        await store.PostedAsync();
        Assert.Equal(1, (await PostedAsync(store)).Unposted);
        await store.RecordAsync(Some.Farm, Void("w", 200, 200));
        await store.PostedAsync();

        Assert.Equal((Volume(1, 100) + Volume(201, 300), 0), await PostedAsync(store));
        Assert.Equal(HealthStatus.Healthy, (await store.HealthAsync()).Status);
        // Its void withdrawn, it is missing again.
        await store.RecordAsync(Some.Farm, new VoidWithdrawn("w", "It was right", "Ada Ash"));
        await store.PostedAsync();
        Assert.Equal(1, (await PostedAsync(store)).Unposted);
    }

    [DatabaseFact]
    public async Task A_restored_journal_is_posted_whole_by_a_replay()
    {
        await AppendedAsync();
        await DamageAsync();
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.PostedAsync();

        await database.RunAsync(
            "update journal.mt_events set bdata = sound.bdata from sound where sound.seq_id = mt_events.seq_id"
        );
        await store.Replay.RunAsync(Some.Farm, switchOver: true, null, CancellationToken.None);

        Assert.Equal((Volume(1, 300), 0), await PostedAsync(store));
        Assert.Empty((await store.AuditAsync()).Findings);
    }

    [DatabaseFact]
    public async Task An_unreadable_configuration_event_stops_posting_and_is_reported_never_skipped()
    {
        await database.EmptyAsync();
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
        await store.AppendAsync(Some.Message(1, 100));
        var before = await store.PostedAsync();
        Assert.Equal(HealthStatus.Healthy, (await store.HealthAsync()).Status);

        await database.RunAsync(
            """
            insert into journal.mt_events (seq_id, id, stream_id, version, data, type, timestamp, tenant_id,
                mt_dotnet_type, headers, is_archived)
            select nextval('journal.mt_events_sequence'), gen_random_uuid(), stream_id, version + 100, '[]', type,
                timestamp, tenant_id, mt_dotnet_type, headers, is_archived
            from journal.mt_events where type = 'farm_registered'
            """
        );
        await PersistenceTestHost.UntilAsync(async () => (await store.HealthAsync()).Status == HealthStatus.Unhealthy);
        Assert.Equal(before, (await store.Devices.PositionsAsync(CancellationToken.None)).Posted);
        Assert.Contains("stopped", (await store.HealthAsync()).Entries["store"].Description, StringComparison.Ordinal);

        // A standby hub does not post, and still reports that nobody does.
        await using var standby = await PersistenceTestHost.StartAsync(database.ConnectionString);
        Assert.Equal(HealthStatus.Healthy, (await standby.HealthAsync()).Status);
        await database.RunAsync(
            "update journal.mt_events set timestamp = timestamp - interval '3 minutes' where data = '[]'"
        );
        Assert.Contains(
            "not moved on",
            (await standby.HealthAsync()).Entries["store"].Description,
            StringComparison.Ordinal
        );

        await database.RunAsync("delete from journal.mt_events where data = '[]'");
        await store.AppendAsync(Some.LevelMessage(1, 10));
        Assert.True(await store.PostedAsync() > before);
        await PersistenceTestHost.UntilAsync(async () => (await store.HealthAsync()).Status == HealthStatus.Healthy);
        Assert.Empty((await store.AuditAsync()).Findings);
    }

    /// <summary>Appends to both farms by a hub that does not post.</summary>
    private async Task AppendedAsync()
    {
        await database.EmptyAsync();
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString, false);
        foreach (var farm in (string[])[Some.Farm, Other])
        {
            await store.RecordAsync(farm, Some.ConfigurationEvents());
            for (var first = 1L; first <= 201; first += 100)
                await store.AppendAsync(Some.Message(first, first + 99, farm));
        }
    }

    /// <summary>Damages the farm's second batch, and keeps what it was.</summary>
    private Task DamageAsync() =>
        database.RunAsync(
            $"""
            drop table if exists sound;
            create table sound as select seq_id, bdata from journal.mt_events
                where tenant_id = '{Some.Farm}' and type = 'spreading_measured' and version = 2;
            update journal.mt_events set bdata = '\x63' from sound where sound.seq_id = mt_events.seq_id
            """
        );

    private static async Task<(long Millilitres, int Unposted)> PostedAsync(
        PersistenceTestHost store,
        string farm = Some.Farm
    )
    {
        var view = await store.ReadAsync(farm);
        return (
            view.Lines.Values.Sum(line => line.VolumeMillilitres + line.DisengagedMillilitres),
            view.UnpostedBatches
        );
    }

    /// <summary>What ran from one reading to another.</summary>
    private static long Volume(long first, long last) =>
        Some.Reading(last).TotalMillilitres!.Value - Some.Reading(first).TotalMillilitres!.Value;

    private static ReadingsVoided Void(string id, long first, long last) =>
        new(
            id,
            Some.Applicator,
            TelemetryStream.Spread,
            1,
            first,
            last,
            VoidedPart.Reading,
            "Cannot be read",
            "Ada Ash"
        );
}
