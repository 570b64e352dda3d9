using Npgsql;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Integration.Tests.Persistence.Rebuild;

public sealed class ReadModelUpgradeTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    [DatabaseFact]
    public async Task A_ledger_posted_by_an_older_hub_is_posted_anew_as_the_hub_starts_and_only_once()
    {
        await database.EmptyAsync();
        IReadOnlyDictionary<LineKey, LineAmounts> posted;
        await using (var store = await PersistenceTestHost.StartAsync(database.ConnectionString))
        {
            await store.RecordAsync(Some.Farm, Some.Register());
            await store.AppendAsync(Some.Message(1, 400), Some.LevelMessage(1, 30));
            await store.PostedAsync();
            posted = (await store.ReadAsync()).Lines;
        }
        await using var source = NpgsqlDataSource.Create(database.ConnectionString);
        // What an older hub left behind: rows without the flags that it did not know of.
        await using (
            var older = source.CreateCommand("update ledger.generation set shape = 1; delete from ledger.flag")
        )
            await older.ExecuteNonQueryAsync();
        Assert.Contains(posted, line => line.Value.Flagged != FlaggedParts.None);

        await using (var store = await PersistenceTestHost.StartAsync(database.ConnectionString))
        {
            Assert.Equal(Sorted(posted), Sorted((await store.ReadAsync()).Lines));
            await store.AppendAsync(Some.Message(401, 500));
            await store.PostedAsync();
            Assert.Empty((await store.AuditAsync()).Findings);
        }
        Assert.Equal(2, await GenerationAsync(source));

        await using (await PersistenceTestHost.StartAsync(database.ConnectionString))
            Assert.Equal(2, await GenerationAsync(source));
    }

    [DatabaseFact]
    public async Task Counts_that_an_older_hub_kept_as_arrays_are_read_as_bytes()
    {
        await database.EmptyAsync();
        string covered;
        await using (var store = await PersistenceTestHost.StartAsync(database.ConnectionString))
        {
            await store.RecordAsync(Some.Farm, Some.Register());
            await store.AppendAsync(Some.Message(1, 400), Some.Message(401, 800));
            await store.PostedAsync();
            covered = await database.ReadAsync<string>(Counts("sum(get_byte(covered, row))"));
        }
        await database.RunAsync(
            """
            create function arrays_of(counts bytea) returns int[] language sql as
                $of$ select array_agg(get_byte(counts, row) order by row) from generate_series(0, 63) as row $of$;
            alter table ledger.tile alter column covered type int[] using arrays_of(covered),
                alter column overlapped type int[] using arrays_of(overlapped);
            drop function arrays_of(bytea)
            """
        );
        Assert.Equal(covered, await database.ReadAsync<string>(Counts("sum(covered[row + 1])")));

        await using var again = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await again.AppendAsync(Some.Message(801, 900));
        await again.PostedAsync();
        Assert.Empty((await again.AuditAsync()).Findings);
        Assert.Equal(
            (await again.ReadAsync()).Coverage.Sum(rows => rows.Rows.Values.Sum(row => row.Covered)),
            await database.ReadAsync<long>(
                "select sum(get_byte(covered, row)) from ledger.tile, generate_series(0, 63) as row"
            )
        );

        static string Counts(string sum) =>
            $"select string_agg(row || ':' || sum, ' ' order by row) from (select row, {sum} as sum from ledger.tile, generate_series(0, 63) as row group by row) as counted";
    }

    private static IEnumerable<string> Sorted(IReadOnlyDictionary<LineKey, LineAmounts> lines) =>
        lines.Select(line => $"{line.Key} {line.Value}").Order(StringComparer.Ordinal);

    private static async Task<int> GenerationAsync(NpgsqlDataSource source)
    {
        await using var command = source.CreateCommand("select generation from ledger.generation");
        return (int)(await command.ExecuteScalarAsync())!;
    }
}
