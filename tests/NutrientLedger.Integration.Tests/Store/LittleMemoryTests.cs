using Npgsql;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Store;

namespace NutrientLedger.Integration.Tests.Store;

public sealed class LittleMemoryTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    private const string Follower = "spreader-2";

    [DatabaseFact]
    public async Task A_season_posted_with_little_in_memory_is_written_in_pieces_that_add_up_to_the_same_rows()
    {
        await using var store = await StoreHost.StartAsync(database.ConnectionString);
        var machine = Some.Register().OfType<ApplicatorRegistered>().Single();
        await store.RecordAsync(Some.Farm, [.. Some.Register(), machine with { ApplicatorId = Follower }]);
        // The second machine drives two hours later over all that the first one covered, so that written tiles are visited again.
        foreach (var pack in Some.Numbers(0, 19))
            await store.AppendAsync(Some.Message((pack * 60) + 1, (pack + 1) * 60));
        foreach (var pack in Some.Numbers(0, 19))
            await store.AppendAsync(Later((pack * 60) + 1, (pack + 1) * 60));
        await store.PostedAsync();
        await using var source = NpgsqlDataSource.Create(database.ConnectionString);
        var little = new LedgerReplay(
            source,
            new RightOfWay(TimeProvider.System),
            new(ChunkBytes: 2_048, TilesOpen: 2, PutAwayBytes: 0, Lines: 1)
        );

        var report = await little.RunAsync(Some.Farm, switchOver: true, progress: null, CancellationToken.None);

        Assert.Equal((40, true), (report.Packs, report.Switched));
        Assert.Empty(report.Differences);
        Assert.Empty((await store.AuditAsync()).Findings);
        Assert.True(await database.ReadAsync<long>("select count(distinct xmin::text) from ledger.tile") > 3);
        Assert.True(
            await database.ReadAsync<bool>(
                "select bool_or(overlapped <> decode(repeat('00', 64), 'hex')) from ledger.tile"
            )
        );
    }

    private static ArrivedPack Later(long first, long last) =>
        new(
            Some.Farm,
            new SpreadingMeasured(new(Follower, 1, first, [.. Some.Numbers(first, last).Select(TwoHoursLater)])),
            $"agri/v1/{Some.Farm}/{Follower}/spread",
            new byte[] { 1, 2, 3 }
        );

    private static SpreadReading TwoHoursLater(long seq) =>
        Some.Reading(seq) with
        {
            MeasuredAtMilliseconds = Some.Reading(seq).MeasuredAtMilliseconds + 7_200_000,
        };
}
