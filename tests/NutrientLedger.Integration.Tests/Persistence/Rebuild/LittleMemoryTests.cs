using Npgsql;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Persistence.Messages;
using NutrientLedger.Persistence.Rebuild;
using NutrientLedger.Persistence.Verification;

namespace NutrientLedger.Integration.Tests.Persistence.Rebuild;

public sealed class LittleMemoryTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    private const string Follower = "spreader-2";

    private static readonly PostingMemory Little = new(ChunkBytes: 2_048, NotedBytes: 1, PutAwayBytes: 0, Lines: 1);

    [DatabaseFact]
    public async Task A_season_posted_with_little_in_memory_is_written_in_pieces_that_add_up_to_the_same_rows()
    {
        await using var store = await SeasonAsync();
        await using var source = NpgsqlDataSource.Create(database.ConnectionString);
        var little = new LedgerRebuild(source, new(source, Little, processors: 2));

        var report = await little.RunAsync(Some.Farm, switchOver: true, progress: null, CancellationToken.None);

        Assert.Equal((40, true), (report.Batches, report.Switched));
        Assert.Empty(report.Differences);
        Assert.Empty((await store.AuditAsync()).Findings);
        Assert.True(await database.ReadAsync<long>("select count(distinct xmin::text) from ledger.tile") > 3);
    }

    [DatabaseFact]
    public async Task An_audit_with_little_memory_finds_what_one_with_all_of_it_finds()
    {
        await using var store = await SeasonAsync();
        await using var source = NpgsqlDataSource.Create(database.ConnectionString);
        var little = new LedgerAudit(source, new(source, Little, processors: 1));
        var much = new LedgerAudit(source, new(source, PostingMemory.Default, processors: 1));

        var (before, usual) = (await AuditAsync(little), await AuditAsync(much));
        Assert.Empty(before.Findings);
        Assert.Equal(usual with { Findings = [] }, before with { Findings = [] });
        Assert.True(usual.Tiles > 3);

        // One tile is damaged, one is missing, one lies where nobody drove.
        await database.RunAsync(
            """
            with tile as (select ctid, row_number() over (order by tile_row, tile_column) as place from ledger.tile)
            delete from ledger.tile where ctid = (select ctid from tile where place = 1);
            with tile as (select ctid, row_number() over (order by tile_row, tile_column) as place from ledger.tile)
            update ledger.tile set visits = '\x63' where ctid = (select ctid from tile where place = 1);
            with tile as (select ctid, row_number() over (order by tile_row, tile_column) as place from ledger.tile)
            update ledger.tile set tile_row = tile_row + 1000000 where ctid = (select ctid from tile where place = 5);
            """
        );
        var (found, foundUsually) = (await AuditAsync(little), await AuditAsync(much));
        Assert.Equal(4, found.Findings.Count(finding => finding.StartsWith("tile ", StringComparison.Ordinal)));
        Assert.Equal(foundUsually.Findings.Order(), found.Findings.Order());
    }

    private static Task<AuditReport> AuditAsync(LedgerAudit audit) => audit.RunAsync(Some.Farm, CancellationToken.None);

    private async Task<PersistenceTestHost> SeasonAsync()
    {
        await database.EmptyAsync();
        var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        var machine = Some.ConfigurationEvents().OfType<ApplicatorRegistered>().Single();
        await store.RecordAsync(Some.Farm, [.. Some.ConfigurationEvents(), machine with { ApplicatorId = Follower }]);
        // The second applicator drives two hours later over everything that the first one covered, so written tiles are
        // visited again.
        foreach (var batch in Some.Numbers(0, 19))
            await store.AppendAsync(Some.Message((batch * 60) + 1, (batch + 1) * 60));
        foreach (var batch in Some.Numbers(0, 19))
            await store.AppendAsync(Later((batch * 60) + 1, (batch + 1) * 60));
        await store.PostedAsync();
        return store;
    }

    private static DecodedMessage Later(long first, long last) =>
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
