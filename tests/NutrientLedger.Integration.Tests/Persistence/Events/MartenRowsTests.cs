using JasperFx.Events;
using Marten;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal;
using NutrientLedger.Journal.StoredEvents;

namespace NutrientLedger.Integration.Tests.Persistence.Events;

/// <summary>
/// The hub writes Marten's rows itself. Marten appends the same events to another farm here, and every column must
/// agree. A later Marten that keeps events otherwise fails this test.
/// </summary>
public sealed class MartenRowsTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    private const string Events = """
        select string_agg((to_jsonb(row) - '{seq_id,timestamp,tenant_id,id,headers}'::text[])::text
            || (select string_agg(key, ',') from jsonb_object_keys(row.headers) as key), chr(10)
            order by stream_id, version)
        from journal.mt_events as row where tenant_id = '
        """;

    private const string Streams = """
        select string_agg((to_jsonb(row) - '{timestamp,created,tenant_id}'::text[])::text, chr(10) order by id)
        from journal.mt_streams as row where tenant_id = '
        """;

    [DatabaseFact]
    public async Task Rows_are_those_that_marten_writes()
    {
        await using var store = await PersistenceTestHost.StartAsync(
            database.ConnectionString,
            keepsLedgersCurrent: false
        );
        var (configuration, message) = (Some.ConfigurationEvents(), Some.Message(1, 40, "ours"));
        await store.RecordAsync("ours", configuration);
        await store.AppendAsync(message);
        var spread = await database.ReadAsync<string>(
            "select stream from journal.event where farm = 'ours' and batch is not null"
        );

        await using (var session = store.Marten.LightweightSession("martens"))
        {
            foreach (var (stream, events) in new[] { ("configuration", configuration), (spread, [message.Event]) })
                session.Events.Append(stream, events.Select(@event => Chained(session, @event)));
            await session.SaveChangesAsync();
        }

        foreach (var rows in new[] { Events, Streams })
        {
            var ours = await database.ReadAsync<string>($"{rows.TrimEnd()}ours'");
            Assert.Equal(await database.ReadAsync<string>($"{rows.TrimEnd()}martens'"), ours);
            Assert.NotEmpty(ours);
        }
    }

    private static IEvent Chained(IDocumentSession session, IJournalEvent @event)
    {
        var chained = session.Events.BuildEvent(@event);
        chained.Id = Guid.NewGuid();
        chained.SetHeader(HashChain.HeaderName, "0");
        return chained;
    }
}
