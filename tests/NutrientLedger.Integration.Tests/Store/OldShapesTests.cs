using Npgsql;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Ledger;

namespace NutrientLedger.Integration.Tests.Store;

public sealed class OldShapesTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    [DatabaseFact]
    public async Task A_ledger_posted_by_an_older_hub_is_posted_anew_as_the_hub_starts_and_only_once()
    {
        IReadOnlyDictionary<LineKey, LineAmounts> posted;
        await using (var store = await StoreHost.StartAsync(database.ConnectionString))
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

        await using (var store = await StoreHost.StartAsync(database.ConnectionString))
        {
            Assert.Equal(Sorted(posted), Sorted((await store.ReadAsync()).Lines));
            await store.AppendAsync(Some.Message(401, 500));
            await store.PostedAsync();
            Assert.Empty((await store.AuditAsync()).Findings);
        }
        Assert.Equal(2, await GenerationAsync(source));

        await using (await StoreHost.StartAsync(database.ConnectionString))
            Assert.Equal(2, await GenerationAsync(source));
    }

    private static IEnumerable<string> Sorted(IReadOnlyDictionary<LineKey, LineAmounts> lines) =>
        lines.Select(line => $"{line.Key} {line.Value}").Order(StringComparer.Ordinal);

    private static async Task<int> GenerationAsync(NpgsqlDataSource source)
    {
        await using var command = source.CreateCommand("select generation from ledger.generation");
        return (int)(await command.ExecuteScalarAsync())!;
    }
}
