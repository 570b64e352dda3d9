using Microsoft.Extensions.Diagnostics.HealthChecks;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Persistence.Projections;

public sealed class PoisonTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    [DatabaseFact]
    public async Task An_unreadable_event_stops_posting_until_repaired_and_is_reported_never_skipped()
    {
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
        await store.AppendAsync(Some.Message(1, 100));
        var before = await store.PostedAsync();
        Assert.Equal(HealthStatus.Healthy, (await store.HealthAsync()).Status);

        await database.RunAsync(
            """
            insert into journal.mt_events (seq_id, id, stream_id, version, data, bdata, type, timestamp, tenant_id,
                mt_dotnet_type, headers, is_archived)
            select nextval('journal.mt_events_sequence'), gen_random_uuid(), stream_id, version + 1, data, '\x63', type,
                timestamp, tenant_id, mt_dotnet_type, headers, is_archived
            from journal.mt_events where type = 'spreading_measured'
            """
        );
        await store.AppendAsync(Some.LevelMessage(1, 10));
        await PersistenceTestHost.UntilAsync(async () => (await store.HealthAsync()).Status == HealthStatus.Unhealthy);
        Assert.Equal(before, (await store.Devices.PositionsAsync(CancellationToken.None)).Posted);
        Assert.Contains("stopped", (await store.HealthAsync()).Entries["store"].Description, StringComparison.Ordinal);

        // A standby hub does not post, and still reports that nobody does.
        await using var standby = await PersistenceTestHost.StartAsync(database.ConnectionString);
        Assert.Equal(HealthStatus.Healthy, (await standby.HealthAsync()).Status);
        await database.RunAsync("update journal.mt_events set timestamp = timestamp - interval '3 minutes'");
        Assert.Contains(
            "not moved on",
            (await standby.HealthAsync()).Entries["store"].Description,
            StringComparison.Ordinal
        );

        await database.RunAsync("delete from journal.mt_events where bdata = '\\x63'");
        Assert.True(await store.PostedAsync() > before);
        await PersistenceTestHost.UntilAsync(async () => (await store.HealthAsync()).Status == HealthStatus.Healthy);
        Assert.Empty((await store.AuditAsync()).Findings);
    }
}
