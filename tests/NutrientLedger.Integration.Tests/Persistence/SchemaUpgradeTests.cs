using System.Security.Cryptography;
using System.Text;
using Npgsql;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Persistence;

namespace NutrientLedger.Integration.Tests.Persistence;

/// <summary>A database of a version before goes on with its journal, its statements and the same ledgers.</summary>
public sealed class SchemaUpgradeTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    /// <summary>Takes the tables of a database back to how version 3 made them.</summary>
    private const string BackToVersion3 = """
        alter table ingestion.device drop column unknown_records, drop column values_left_out;
        drop table ingestion.hub;
        drop table journal.chain;
        drop aggregate journal.chained (bytea, bigint, timestamptz, text);
        drop function journal.chain_next;
        drop view journal.event;
        create view journal.event as
        select seq_id as position, timestamp as recorded_at, tenant_id as farm, stream_id as stream, version, type,
            bdata as batch, coalesce(bdata, convert_to(data::text, 'UTF8')) as body,
            headers ->> 'chain-hash' as chain_hash
        from journal.mt_events where type <> 'tombstone';
        update journal.schema_version set version = 3;
        """;

    /// <summary>Takes the tables of a database back to how version 1 made them, with nothing posted in them.</summary>
    private const string BackToVersion1 = $"""
        {BackToVersion3}
        alter table ingestion.received rename to received_range;
        alter index ingestion.received_pkey rename to received_range_pkey;
        alter index ingestion.received_missing rename to received_range_missing;
        drop table journal.batch_span;
        alter table ingestion.dead_letter drop column whole_bytes, drop column whole_sha256;
        update journal.schema_version set version = 1;
        create table ledger.generation (farm text primary key, generation int not null, position bigint not null,
            configuration_position bigint not null, wanted_configuration_position bigint not null);
        insert into ledger.generation select farm, generation, position, configuration_position,
            wanted_configuration_position from ledger.farm;
        drop table ledger.farm, ledger.partition, ledger.line, ledger.flag, ledger.tile, ledger.level, ledger.unposted;
        drop function ledger.notify_posted, ledger.advance;
        create table ledger.line (farm text, generation int);
        create table ledger.flag (farm text, generation int);
        create table ledger.tile (farm text, generation int);
        create table ledger.level (farm text, generation int);
        create function ledger.notify_posted() returns trigger language plpgsql as $$ begin return null; end $$;
        create trigger notify_posted after insert or update on ledger.generation
            for each row execute function ledger.notify_posted();
        """;

    [DatabaseFact]
    public async Task A_database_of_version_1_is_upgraded_and_its_ledgers_are_posted_again()
    {
        await database.EmptyAsync();
        string before;
        await using (var store = await PersistenceTestHost.StartAsync(database.ConnectionString))
        {
            await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
            await store.AppendAsync(Some.Message(1, 600));
            await store.AppendAsync(Some.LevelMessage(1, 60));
            await store.RecordAsync(Some.Farm, Some.Redrawn(-949_999_500));
            await store.PostedAsync();
            await PersistenceTestHost.UntilAsync(async () =>
                await database.ReadAsync<long>("select count(*) from ledger.statement") == 1
            );
            before = Ledger(await store.ReadAsync());
        }
        await database.RunAsync(BackToVersion1);

        await using var upgraded = await PersistenceTestHost.StartAsync(database.ConnectionString);

        await upgraded.AppendAsync(Some.Message(601, 700));
        await upgraded.PostedAsync();
        Assert.Equal(
            [SchemaMigration.Version],
            await database.ReadAllAsync<int>("select version from journal.schema_version")
        );
        var audit = await upgraded.AuditAsync();
        Assert.Empty(audit.Findings);
        Assert.Equal(1, audit.Statements);
        Assert.NotEqual(before, Ledger(await upgraded.ReadAsync()));
        Assert.Equal(before, Ledger(await upgraded.ReadAsync(asOf: await PositionBeforeLastAsync())));
    }

    [DatabaseFact]
    public async Task A_database_of_version_2_is_upgraded_and_its_ledgers_are_as_they_were()
    {
        await database.EmptyAsync();
        string before;
        await using (var store = await PersistenceTestHost.StartAsync(database.ConnectionString))
        {
            await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
            await store.AppendAsync(Some.Message(1, 600));
            await store.PostedAsync();
            before = Ledger(await store.ReadAsync());
        }
        // The meter's bounds of version 2 let more through than now, so its ledgers can hold other volumes.
        await database.RunAsync(
            $"""
            {BackToVersion3}
            alter table ingestion.received rename to received_range;
            alter index ingestion.received_pkey rename to received_range_pkey;
            alter index ingestion.received_missing rename to received_range_missing;
            alter table ingestion.dead_letter drop column whole_bytes, drop column whole_sha256;
            drop table ledger.unposted;
            update journal.schema_version set version = 2;
            update ledger.line set volume = volume + 1000000;
            """
        );

        await using var upgraded = await PersistenceTestHost.StartAsync(database.ConnectionString);

        await upgraded.PostedAsync();
        Assert.Equal(before, Ledger(await upgraded.ReadAsync()));
        await upgraded.AppendAsync(Some.Message(601, 700));
        await upgraded.PostedAsync();
        Assert.Equal(
            [SchemaMigration.Version],
            await database.ReadAllAsync<int>("select version from journal.schema_version")
        );
        Assert.Empty((await upgraded.AuditAsync()).Findings);
    }

    [DatabaseFact]
    public async Task A_database_of_version_3_is_upgraded_and_goes_on()
    {
        await database.EmptyAsync();
        string before;
        await using (var store = await PersistenceTestHost.StartAsync(database.ConnectionString))
        {
            await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
            await store.AppendAsync(Some.Message(1, 600));
            await store.PostedAsync();
            before = Ledger(await store.ReadAsync());
        }
        await WriteHashesOfVersion3Async();
        await database.RunAsync(BackToVersion3);

        await using var upgraded = await PersistenceTestHost.StartAsync(database.ConnectionString);

        Assert.Equal(before, Ledger(await upgraded.ReadAsync()));
        await upgraded.AppendAsync(Some.Message(601, 700) with { LeftOut = new(0, 2) });
        await upgraded.RecordAsync(Some.Farm, Some.Redrawn(-949_999_500));
        await upgraded.PostedAsync();
        Assert.Equal(
            [SchemaMigration.Version],
            await database.ReadAllAsync<int>("select version from journal.schema_version")
        );
        Assert.Empty((await upgraded.AuditAsync()).Findings);
        var device = Assert.Single(await upgraded.Devices.DevicesAsync(Some.Farm, CancellationToken.None));
        Assert.Equal((700, new(0, 2)), (device.ReadingsStored, device.LeftOut));
        Assert.Equal(
            await database.ReadAsync<long>("select count(*) from journal.event"),
            await database.ReadAsync<long>("select count(*) from journal.chain")
        );
    }

    /// <summary>Version 3 wrote hashes of the hash before, the stored name and the stored bytes.</summary>
    private async Task WriteHashesOfVersion3Async()
    {
        await using var source = NpgsqlDataSource.Create(database.ConnectionString);
        var hashes = new List<(long Position, string Hash)>();
        await using (
            var command = source.CreateCommand(
                "select position, stream, version, type, body from journal.event order by stream, version"
            )
        )
        await using (var rows = await command.ExecuteReaderAsync())
            for (var hash = ""; await rows.ReadAsync(); )
            {
                if (rows.GetInt64(2) == 1)
                    hash = HashChain.Start(Some.Farm, rows.GetString(1));
                var stored = EventCodec.Encode(EventCodec.Decode(rows.GetString(3), rows.GetFieldValue<byte[]>(4)));
                byte[] hashed = [.. Encoding.UTF8.GetBytes($"{hash}\n{rows.GetString(3)}\n"), .. stored];
                hash = Convert.ToHexStringLower(SHA256.HashData(hashed));
                hashes.Add((rows.GetInt64(0), hash));
            }
        foreach (var (position, hash) in hashes)
            await database.RunAsync(
                $$"""update journal.mt_events set headers = '{"chain-hash": "{{hash}}"}' where seq_id = {{position}}"""
            );
    }

    private Task<long> PositionBeforeLastAsync() =>
        database.ReadAsync<long>("select max(position) - 1 from journal.event");

    private static string Ledger(NutrientLedger.Persistence.Queries.LedgerView view) =>
        string.Join("\n", view.Lines.Select(line => $"{line.Key} {line.Value}").Order(StringComparer.Ordinal));
}
