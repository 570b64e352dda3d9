using Npgsql;

namespace NutrientLedger.Integration.Tests.Fixtures;

/// <summary>An empty database of a test class's own, gone when the class is done.</summary>
public sealed class TestDatabase : IAsyncLifetime
{
    private static int made;

    private readonly string name = $"test_{Environment.ProcessId}_{Interlocked.Increment(ref made)}";

    public string ConnectionString { get; private set; } = "";

    public async Task InitializeAsync()
    {
        if (!TestServer.IsToBeHad && !TestServer.NothingMayBeSkipped)
            return;
        var server = await TestServer.ConnectionStringAsync();
        await RunAsync(server, $"create database {name}");
        ConnectionString = new NpgsqlConnectionStringBuilder(server)
        {
            Database = name,
            IncludeErrorDetail = true,
        }.ConnectionString;
    }

    public async Task DisposeAsync()
    {
        if (ConnectionString.Length == 0)
            return;
        NpgsqlConnection.ClearAllPools();
        await RunAsync(await TestServer.ConnectionStringAsync(), $"drop database {name} with (force)");
    }

    private static async Task RunAsync(string server, string sql)
    {
        await using var source = NpgsqlDataSource.Create(server);
        await using var command = source.CreateCommand(sql);
        await command.ExecuteNonQueryAsync();
    }
}
