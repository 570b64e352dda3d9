using Npgsql;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Persistence.Projections;

public sealed class SlowCommitTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    /// <summary>
    /// A transaction takes its positions when it appends, not when it commits. A delayed one commits positions below
    /// some that were read long before. They must not be skipped.
    /// </summary>
    [DatabaseFact]
    public async Task Events_whose_commit_was_delayed_are_still_posted()
    {
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.RecordAsync("slow", Some.ConfigurationEvents());
        await store.RecordAsync("fast", Some.ConfigurationEvents());
        await store.PostedAsync();
        await using var other = await PersistenceTestHost.StartAsync(
            database.ConnectionString,
            keepsLedgersCurrent: false
        );

        await using var source = NpgsqlDataSource.Create(database.ConnectionString);
        await using var blocking = await source.OpenConnectionAsync();
        await using var block = await blocking.BeginTransactionAsync();
        // Dead letters are written after the events, so this delays a commit whose events have their positions.
        await using (var hold = new NpgsqlCommand("lock table ingestion.dead_letter in exclusive mode", blocking))
            await hold.ExecuteNonQueryAsync();
        var slow = other.Writer.AppendAsync(
            [Some.Message(1, 50, "slow")],
            [new("somewhere", new byte[] { 1 }, "not JSON")],
            CancellationToken.None
        );
        await PersistenceTestHost.UntilAsync(() =>
            database.ReadAsync<bool>(
                "select exists (select from pg_locks where not granted and relation = 'ingestion.dead_letter'::regclass)"
            )
        );
        await store.AppendAsync(Some.Message(1, 50, "fast"));
        var (journal, _) = await store.Devices.PositionsAsync(CancellationToken.None);
        await HoldAsync(store, journal);
        Assert.False(slow.IsCompleted);
        await block.RollbackAsync();
        await slow;

        await store.PostedAsync();
        foreach (var farm in (string[])["slow", "fast"])
        {
            Assert.Equal(
                49 * 30_000,
                (await store.ReadAsync(farm)).Lines.Values.Sum(line =>
                    line.VolumeMillilitres + line.DisengagedMillilitres
                )
            );
            Assert.Empty((await store.AuditAsync(farm)).Findings);
        }
    }

    /// <summary>
    /// Waits until the later events are posted, if that can happen; else many times as long as posting waits for a gap.
    /// </summary>
    private static async Task HoldAsync(PersistenceTestHost store, long position)
    {
        using var limit = new CancellationTokenSource(TimeSpan.FromSeconds(3));
        while (!limit.IsCancellationRequested)
        {
            if ((await store.Devices.PositionsAsync(CancellationToken.None)).Posted >= position)
                return;
            await Task.Delay(20);
        }
    }
}
