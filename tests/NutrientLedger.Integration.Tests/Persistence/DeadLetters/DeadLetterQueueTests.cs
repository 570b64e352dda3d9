using System.Text;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Persistence.DeadLetters;
using NutrientLedger.Persistence.Messages;

namespace NutrientLedger.Integration.Tests.Persistence.DeadLetters;

public sealed class DeadLetterQueueTests(TestDatabase database) : IClassFixture<TestDatabase>, IAsyncLifetime
{
    private PersistenceTestHost store = null!;

    public async Task InitializeAsync()
    {
        if (database.ConnectionString.Length == 0)
            return;
        await database.EmptyAsync();
        store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
    }

    public async Task DisposeAsync()
    {
        if (store is not null)
            await store.DisposeAsync();
    }

    [DatabaseFact]
    public async Task Identical_messages_are_one_with_a_count()
    {
        var same = Broken(Some.Farm, "spreader-1", 1);
        await RejectAsync(same, same, Broken(Some.Farm, "spreader-2", 1));
        await RejectAsync(same);

        var listed = await ListAsync();
        Assert.Equal(
            [("spreader-2", 1L), ("spreader-1", 3L)],
            listed.Select(one => (one.EquipmentId!, one.Occurrences))
        );
        Assert.All(listed, one => Assert.Equal((Some.Farm, "spread"), (one.FarmId, one.Stream)));
        Assert.True(listed[1].LastAt > listed[1].RecordedAt);
        Assert.Empty(await store.DeadLetters.OverflowAsync(null, CancellationToken.None));
    }

    [DatabaseFact]
    public async Task Of_endless_rejected_messages_the_first_and_newest_are_kept_and_the_rest_counted()
    {
        var limits = new DeadLetterLimits();
        for (var first = 0; first < 1_000; first += 100)
            await RejectAsync([.. Enumerable.Range(first, 100).Select(i => Broken(Some.Farm, "spreader-1", i))]);
        await RejectAsync(Broken(Some.Farm, "spreader-2", 1));

        var listed = await ListAsync();
        Assert.Equal("spreader-2", listed[0].EquipmentId);
        var kept = limits.OpenPerDeviceMax + limits.NewestKeptMax;
        Assert.Equal(kept + 1, listed.Count);
        var newest = await store.DeadLetters.ReadAsync(listed[1].Id, CancellationToken.None);
        Assert.Equal("nonsense 999", Encoding.UTF8.GetString(newest!.Payload));
        var lost = Assert.Single(await store.DeadLetters.OverflowAsync(Some.Farm, CancellationToken.None));
        Assert.Equal((1_000 - kept, "spreader-1"), (lost.Messages, lost.Device));
        Assert.Contains("200 messages of this device are open", lost.Reason, StringComparison.Ordinal);
    }

    [DatabaseFact]
    public async Task Invented_farms_and_devices_do_not_evade_the_limits()
    {
        var limits = new DeadLetterLimits();
        for (var first = 0; first < 6_000; first += 500)
            await RejectAsync([.. Enumerable.Range(first, 500).Select(i => Broken($"farm-{i}", "spreader-1", i))]);

        Assert.Equal(
            limits.OpenPerFarmMax + limits.NewestKeptMax,
            await database.ReadAsync<int>("select count(*)::int from ingestion.dead_letter")
        );
        var lost = Assert.Single(await store.DeadLetters.OverflowAsync(null, CancellationToken.None));
        Assert.Equal(("", "", 6_000L - 5_010), (lost.FarmId, lost.Device, lost.Messages));
    }

    private Task<IReadOnlyList<AppendResult>> RejectAsync(params RejectedMessage[] messages) =>
        store.Writer.AppendAsync([], messages, CancellationToken.None);

    private Task<IReadOnlyList<DeadLetterSummary>> ListAsync() =>
        store.DeadLetters.ListAsync(new(null, DeadLetterState.Open, null, 1_000), CancellationToken.None);

    private static RejectedMessage Broken(string farm, string equipment, int i) =>
        new($"agri/v1/{farm}/{equipment}/spread", Encoding.UTF8.GetBytes($"nonsense {i}"), "not JSON");
}
