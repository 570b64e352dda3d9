using Npgsql;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Integration.Tests.Persistence.Database;

public sealed class OpenTransactionsTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    [DatabaseFact]
    public async Task An_open_transaction_delays_posting_and_is_named()
    {
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
        await store.AppendAsync(Some.Message(1, 10));
        var before = await store.PostedAsync();

        var forgetful = $"{database.ConnectionString};Application Name=forgetful;Pooling=false";
        await using var source = NpgsqlDataSource.Create(forgetful);
        await using (var writer = await source.OpenConnectionAsync())
        await using (var transaction = await writer.BeginTransactionAsync())
        {
            // Takes a number as an append does and leaves its transaction open.
            await using var take = new NpgsqlCommand(
                "select nextval('journal.mt_events_sequence'), pg_current_xact_id()",
                writer
            );
            await take.ExecuteNonQueryAsync();
            await store.AppendAsync(Some.Message(11, 20));

            await using var looking = NpgsqlDataSource.Create(database.ConnectionString);
            var transactions = new OpenTransactions(looking);
            var open = await transactions.LongestAsync(TimeSpan.Zero, CancellationToken.None);
            Assert.Equal((writer.ProcessID, "forgetful"), (open!.ProcessId, open.Application));
            Assert.Null(await transactions.LongestAsync(TimeSpan.FromMinutes(10), CancellationToken.None));
            Assert.Equal(before, (await store.Devices.PositionsAsync(CancellationToken.None)).Posted);
        }
        Assert.True(await store.PostedAsync() > before);
    }
}
