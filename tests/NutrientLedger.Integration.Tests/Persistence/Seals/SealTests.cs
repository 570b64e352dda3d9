using Microsoft.Extensions.Logging.Abstractions;
using Microsoft.Extensions.Time.Testing;
using Npgsql;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.Hubs;
using NutrientLedger.Persistence.Seals;

namespace NutrientLedger.Integration.Tests.Persistence.Seals;

/// <summary>Journals are sealed after each day with events, and verify compares them with their seals.</summary>
public sealed class SealTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    private const string Other = "three-elms";

    [DatabaseFact]
    public async Task All_farms_are_sealed_once_after_a_day_with_events_and_posting_ignores_it()
    {
        await using var store = await FarmsAsync();
        var before = (await store.ReadAsync()).Lines;

        Assert.Equal(0, await SealAsync(days: 0));
        Assert.Equal(2, await SealAsync(days: 1));
        Assert.Equal(0, await SealAsync(days: 1));
        Assert.Equal(0, await SealAsync(days: 2));
        await store.AppendAsync(Some.Message(11, 20));
        Assert.Equal(2, await SealAsync(days: 3));

        await store.PostedAsync();
        Assert.Equal(before.Count, (await store.ReadAsync()).Lines.Count);
        foreach (var farm in new[] { Some.Farm, Other })
        {
            var report = await store.AuditAsync(farm);
            Assert.Empty(report.Findings);
            Assert.Equal(2, report.NewestSeal?.Seal.Farms);
        }
        Assert.Equal(0, await database.ReadAsync<long>("select count(*) from ledger.statement"));
    }

    [DatabaseFact]
    public async Task A_running_hub_seals_when_the_day_is_over()
    {
        await using var store = await FarmsAsync();
        await using var source = NpgsqlDataSource.Create(database.ConnectionString);
        var clock = new FakeTimeProvider(Now(days: 0));
        var writer = new SealWriter(source, HubIdentity.None, clock);
        using var service = new SealService(writer, clock, NullLogger<SealService>.Instance);
        await service.StartAsync(CancellationToken.None);

        await PersistenceTestHost.UntilAsync(async () =>
        {
            clock.Advance(TimeSpan.FromHours(1));
            return await database.ReadAsync<long>("select count(*) from journal.event where stream = 'seals'") == 2;
        });
        await service.StopAsync(CancellationToken.None);
    }

    [DatabaseFact]
    public async Task A_chain_made_anew_after_its_seal_is_found()
    {
        await using var store = await FarmsAsync();
        await SealAsync(days: 1);
        await database.RunAsync(
            $"""
            update journal.mt_events set timestamp = timestamp - interval '40 days' where type = 'pit_registered';
            delete from journal.chain;
            {FarmChainRows.ChainAll};
            """
        );

        var finding = Assert.Single((await store.AuditAsync()).Findings);
        Assert.Contains("the farm's chain before it is not the one that was sealed", finding, StringComparison.Ordinal);
    }

    [DatabaseFact]
    public async Task A_whole_farm_removed_is_found_by_the_seals_of_the_others()
    {
        await using var store = await FarmsAsync();
        await SealAsync(days: 1);
        await database.RunAsync(
            $"""
            delete from journal.mt_events where tenant_id = '{Other}';
            delete from journal.mt_streams where tenant_id = '{Other}';
            delete from journal.chain where farm = '{Other}';
            """
        );

        var finding = Assert.Single((await store.AuditAsync()).Findings);
        Assert.Contains("it covers 2 farms, and the seals of 1 are there", finding, StringComparison.Ordinal);
    }

    [DatabaseFact]
    public async Task A_changed_hash_over_all_farms_is_found()
    {
        await using var store = await FarmsAsync();
        await SealAsync(days: 1);
        await database.RunAsync(
            "update journal.mt_events set data = jsonb_set(data, '{position}', '1') where stream_id = 'seals'"
        );

        Assert.Contains(
            (await store.AuditAsync()).Findings,
            finding => finding.Contains("its hash over all farms is not that of their seals", StringComparison.Ordinal)
        );
    }

    private static DateTimeOffset Now(int days) => TimeProvider.System.GetUtcNow().AddDays(days);

    private async Task<int> SealAsync(int days)
    {
        await using var source = NpgsqlDataSource.Create(database.ConnectionString);
        var clock = new FakeTimeProvider(Now(days));
        return await new SealWriter(source, HubIdentity.None, clock).SealAsync(CancellationToken.None);
    }

    private async Task<PersistenceTestHost> FarmsAsync()
    {
        await database.EmptyAsync();
        var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
        await store.RecordAsync(Other, Some.ConfigurationEvents());
        await store.AppendAsync(Some.Message(1, 10));
        await store.PostedAsync();
        return store;
    }
}
