using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Persistence;

namespace NutrientLedger.Integration.Tests.Persistence;

public sealed class SchemaMigrationTests(TestDatabase database) : IClassFixture<TestDatabase>, IAsyncLifetime
{
    /// <summary>Names from before any schema version was stored, with a row that must survive.</summary>
    internal const string EarlierForm = """
        create schema journal;
        create table journal.mt_events (seq_id bigint primary key, type text not null);
        insert into journal.mt_events values (1, 'farm_registered');
        create schema intake;
        create table intake.seen (farm text, equipment text, stream text, boot bigint, numbers int8multirange not null);
        insert into intake.seen values ('alder-bank', 'spreader-1', 'spread', 1, '{[1,6)}');
        create schema ledger;
        create table ledger.generation (farm text primary key, generation int, position bigint, shape int);
        insert into ledger.generation values ('alder-bank', 1, 1, 3);
        """;

    /// <summary>Everything in the hub's schemas: tables, columns and functions.</summary>
    private const string Everything = """
        select coalesce(string_agg(what, E'\n' order by what collate "C"), '') from (
            select nspname || ' ' || relname || ' ' || relkind::text || ' ' || coalesce(attname || ' '
                || format_type(atttypid, atttypmod) || ' ' || attnotnull, '') as what
            from pg_class join pg_namespace n on n.oid = relnamespace
                left join pg_attribute on attrelid = pg_class.oid and attnum > 0 and not attisdropped
            where nspname !~ '^(pg_|information_schema)'
            union all select nspname || ' ' || proname || ' ' || md5(prosrc)
            from pg_proc join pg_namespace n on n.oid = pronamespace where nspname !~ '^(pg_|information_schema)'
        ) as found
        """;

    public async Task InitializeAsync()
    {
        if (database.ConnectionString.Length > 0)
            await database.EmptyAsync();
    }

    public Task DisposeAsync() => Task.CompletedTask;

    [DatabaseFact]
    public async Task Hubs_that_start_at_once_create_the_schema_once_and_a_later_start_changes_nothing()
    {
        var hubs = await Task.WhenAll(
            Enumerable.Range(0, 3).Select(_ => PersistenceTestHost.StartAsync(database.ConnectionString, false))
        );
        foreach (var hub in hubs)
            await hub.DisposeAsync();
        Assert.Equal(
            [SchemaMigration.Version],
            await database.ReadAllAsync<int>("select version from journal.schema_version")
        );
        var made = await database.ReadAsync<string>(Everything);
        Assert.Contains("ingestion received r ranges int8multirange true", made, StringComparison.Ordinal);

        await (await PersistenceTestHost.StartAsync(database.ConnectionString, false)).DisposeAsync();
        Assert.Equal(made, await database.ReadAsync<string>(Everything));
    }

    [DatabaseFact]
    public async Task The_schemas_are_those_of_their_version()
    {
        await (await PersistenceTestHost.StartAsync(database.ConnectionString, false)).DisposeAsync();
        var made = await database.ReadAsync<string>(Everything);

        var file = Path.Combine(AppContext.BaseDirectory, "Persistence", "Schemas", $"{SchemaMigration.Version}.txt");
        var expected = File.Exists(file) ? (await File.ReadAllTextAsync(file)).TrimEnd() : "";
        if (made != expected)
            await File.WriteAllTextAsync($"{file}.made", made + "\n");
        Assert.True(
            made == expected,
            $"A name, a type or one of Marten's functions changed. Raise SchemaMigration.Version and add {file}.made under that number."
        );
    }

    [DatabaseFact]
    public async Task A_database_without_a_schema_version_is_rejected_and_left_as_it_is()
    {
        await database.RunAsync(EarlierForm);
        var before = await database.ReadAsync<string>(Everything);

        var rejected = await Assert.ThrowsAsync<SchemaVersionException>(() =>
            PersistenceTestHost.StartAsync(database.ConnectionString)
        );

        Assert.Contains("made by another version of the hub", rejected.Message, StringComparison.Ordinal);
        Assert.Contains("is not noted", rejected.Message, StringComparison.Ordinal);
        Assert.Equal(before, await database.ReadAsync<string>(Everything));
        Assert.Equal("{[1,6)}", await database.ReadAsync<string>("select numbers::text from intake.seen"));
        Assert.Equal(3, await database.ReadAsync<int>("select shape from ledger.generation"));
    }

    [DatabaseTheory]
    [InlineData("journal")]
    [InlineData("ingestion")]
    [InlineData("ledger")]
    public async Task A_database_with_any_one_of_the_schemas_is_not_taken_for_an_empty_one(string schema)
    {
        await database.RunAsync($"create schema {schema}");
        var rejected = await Assert.ThrowsAsync<SchemaVersionException>(() =>
            PersistenceTestHost.StartAsync(database.ConnectionString)
        );
        Assert.Contains("is not noted", rejected.Message, StringComparison.Ordinal);
    }

    [DatabaseFact]
    public async Task A_database_of_a_later_version_is_rejected_and_left_as_it_is()
    {
        await (await PersistenceTestHost.StartAsync(database.ConnectionString, false)).DisposeAsync();
        await database.RunAsync("update journal.schema_version set version = version + 1");
        var before = await database.ReadAsync<string>(Everything);

        var rejected = await Assert.ThrowsAsync<SchemaVersionException>(() =>
            PersistenceTestHost.StartAsync(database.ConnectionString)
        );

        Assert.Contains(
            $"its schema version is {SchemaMigration.Version + 1}, this hub needs version {SchemaMigration.Version}",
            rejected.Message,
            StringComparison.Ordinal
        );
        Assert.Equal(before, await database.ReadAsync<string>(Everything));
    }

    [DatabaseFact]
    public async Task A_failed_start_leaves_an_empty_database_empty()
    {
        await database.RunAsync(
            """
            create function reject_ledger() returns event_trigger language plpgsql as $$
            begin
                if exists (select from pg_namespace where nspname = 'ledger') then raise 'no ledger'; end if;
            end $$;
            create event trigger reject_ledger on ddl_command_end execute function reject_ledger()
            """
        );
        var before = await database.ReadAsync<string>(Everything);
        await Assert.ThrowsAsync<Npgsql.PostgresException>(() =>
            PersistenceTestHost.StartAsync(database.ConnectionString)
        );
        Assert.Equal(before, await database.ReadAsync<string>(Everything));

        await database.RunAsync("drop event trigger reject_ledger");
        await (await PersistenceTestHost.StartAsync(database.ConnectionString, false)).DisposeAsync();
    }
}
