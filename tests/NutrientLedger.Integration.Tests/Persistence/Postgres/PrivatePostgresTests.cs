using System.Diagnostics;
using Npgsql;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Persistence.Postgres;

namespace NutrientLedger.Integration.Tests.Persistence.Postgres;

public sealed class PrivatePostgresTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("nutrient-ledger-private-").FullName;

    public PrivatePostgresTests() => TestServer.LetOthersPass(folder);

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [DatabaseFact]
    public async Task The_first_start_makes_a_checked_database_and_opens_no_port()
    {
        await using var server = await StartAsync();
        Assert.False(server.Joined);
        Assert.Equal(
            "UTF8 C on",
            await AskAsync(
                server,
                "select current_setting('server_encoding') || ' ' || datcollate || ' ' || current_setting('data_checksums') from pg_database where datname = current_database()"
            )
        );
        Assert.Equal("", await AskAsync(server, "show listen_addresses"));
        Assert.Equal(
            "on on",
            await AskAsync(server, "select current_setting('fsync') || ' ' || current_setting('synchronous_commit')")
        );
    }

    [DatabaseFact]
    public async Task A_second_hub_joins_the_running_server_and_leaves_it_running()
    {
        await using var first = await StartAsync();
        var second = await StartAsync();
        Assert.True(second.Joined);
        await second.DisposeAsync();
        Assert.Equal("1", await AskAsync(first, "select '1'"));
    }

    [DatabaseFact]
    public async Task The_last_hub_to_end_stops_the_server()
    {
        var first = await StartAsync();
        var second = await StartAsync();
        await first.DisposeAsync();
        Assert.Equal("1", await AskAsync(second, "select '1'"));
        await second.DisposeAsync();
        Assert.False(File.Exists(LockFile));
    }

    [DatabaseFact]
    public async Task A_hub_that_comes_as_another_leaves_finds_a_server()
    {
        for (var i = 0; i < 3; i++)
        {
            var leaving = await StartAsync();
            var both = (Task.Run(async () => await leaving.DisposeAsync()), Task.Run(StartAsync));
            await both.Item1;
            await using var came = await both.Item2;
            Assert.Equal("1", await AskAsync(came, "select '1'"));
        }
    }

    [DatabaseFact]
    public async Task Hubs_that_start_together_for_the_first_time_share_one_server()
    {
        var servers = await Task.WhenAll(StartAsync(), StartAsync(), StartAsync());
        Assert.Single(servers, server => !server.Joined);
        foreach (var server in servers.OrderBy(server => !server.Joined))
            await server.DisposeAsync();
    }

    [DatabaseFact]
    public async Task A_killed_server_is_started_again_with_what_was_committed()
    {
        var killed = await StartAsync();
        await AskAsync(killed, "create table kept as select 'still here' as what; select '1'");
        KillTheServer();

        await using var again = await StartAsync();
        Assert.False(again.Joined);
        Assert.Equal("still here", await AskAsync(again, "select what from kept"));
    }

    [DatabaseFact]
    public async Task A_lock_file_that_names_another_living_program_does_not_keep_the_server_down()
    {
        await (await StartAsync()).DisposeAsync();
        await File.WriteAllTextAsync(LockFile, $"{Environment.ProcessId}\n");

        await using var again = await StartAsync();
        Assert.False(again.Joined);
    }

    [DatabaseFact]
    public async Task A_path_too_long_for_a_socket_gets_a_short_one()
    {
        var deep = Path.Combine(folder, new string('d', 100));
        await using var server = await PrivatePostgres.StartAsync(deep, CancellationToken.None);
        Assert.StartsWith(
            "/tmp/nutrient-ledger-",
            new NpgsqlConnectionStringBuilder(server.ConnectionString).Host,
            StringComparison.Ordinal
        );
        Assert.Equal("1", await AskAsync(server, "select '1'"));
    }

    [Fact]
    public void Without_binaries_the_message_says_what_to_install()
    {
        var missing = Assert.Throws<PrivatePostgresException>(() => PostgresBinaries.Choose([folder], madeBy: null));
        Assert.Contains("apt-get install postgresql", missing.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Data_of_another_version_asks_for_that_version()
    {
        var missing = Assert.Throws<PrivatePostgresException>(() =>
            PostgresBinaries.Choose(PostgresBinaries.StandardFolders(), madeBy: 9)
        );
        Assert.Contains("made by PostgreSQL 9", missing.Message, StringComparison.Ordinal);
    }

    private string LockFile => Path.Combine(folder, "data", "postmaster.pid");

    private Task<PrivatePostgres> StartAsync() => PrivatePostgres.StartAsync(folder, CancellationToken.None);

    private void KillTheServer()
    {
        var id = File.ReadLines(LockFile).First();
        using var killed = Process.Start("kill", ["-9", id]);
        killed.WaitForExit();
    }

    private static async Task<string?> AskAsync(PrivatePostgres server, string sql)
    {
        await using var source = NpgsqlDataSource.Create(server.ConnectionString + ";Pooling=false");
        await using var command = source.CreateCommand(sql);
        return (string?)await command.ExecuteScalarAsync();
    }
}
