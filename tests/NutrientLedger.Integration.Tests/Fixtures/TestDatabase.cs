using Npgsql;

namespace NutrientLedger.Integration.Tests.Fixtures;

/// <summary>An empty database of one test class, deleted with the class.</summary>
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

    /// <summary>Deletes everything that earlier tests of the class left.</summary>
    public async Task EmptyAsync()
    {
        // Forced, because Marten's daemon leaves its listening connection open after it stopped.
        var server = await TestServer.ConnectionStringAsync();
        await RunAsync(server, $"drop database {name} with (force)");
        await RunAsync(server, $"create database {name}");
    }

    /// <summary>Runs a SQL command directly, not through the hub's code.</summary>
    public Task RunAsync(string sql) => RunAsync(ConnectionString, sql);

    /// <summary>The first column of the first row, read directly, not through the hub's code.</summary>
    public async Task<T> ReadAsync<T>(string sql) => (await ReadAllAsync<T>(sql))[0];

    public async Task<IReadOnlyList<T>> ReadAllAsync<T>(string sql)
    {
        await using var source = NpgsqlDataSource.Create(ConnectionString);
        await using var command = source.CreateCommand(sql);
        await using var rows = await command.ExecuteReaderAsync();
        var values = new List<T>();
        while (await rows.ReadAsync())
            values.Add(rows.GetFieldValue<T>(0));
        return values;
    }

    private static async Task RunAsync(string server, string sql)
    {
        await using var source = NpgsqlDataSource.Create(server);
        await using var command = source.CreateCommand(sql);
        await command.ExecuteNonQueryAsync();
    }
}
