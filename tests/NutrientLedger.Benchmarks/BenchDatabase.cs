using Npgsql;
using NutrientLedger.Persistence.Postgres;

namespace NutrientLedger.Benchmarks;

/// <summary>
/// An empty database for one run: on the server named by NUTRIENT_LEDGER_TEST_POSTGRES, else on a private server from
/// the machine's own binaries. It is deleted when the run ends.
/// </summary>
internal sealed class BenchDatabase : IAsyncDisposable
{
    private const string Named = "NUTRIENT_LEDGER_TEST_POSTGRES";

    private readonly string name = $"bench_{Environment.ProcessId}";
    private readonly string server;
    private readonly PrivatePostgres? own;
    private readonly string? folder;

    private BenchDatabase(string server, PrivatePostgres? own, string? folder)
    {
        (this.server, this.own, this.folder) = (server, own, folder);
        ConnectionString = new NpgsqlConnectionStringBuilder(server) { Database = name }.ConnectionString;
    }

    public string ConnectionString { get; }

    public static async Task<BenchDatabase> OpenAsync()
    {
        BenchDatabase opened;
        if (Environment.GetEnvironmentVariable(Named) is { } named)
        {
            opened = new(named, own: null, folder: null);
        }
        else
        {
            var folder = NewFolder();
            var own = await PrivatePostgres.StartAsync(folder, CancellationToken.None);
            opened = new(own.ConnectionString, own, folder);
        }
        await opened.RunAsync($"create database {opened.name}");
        return opened;
    }

    /// <summary>
    /// A folder for a private server. When root runs this, the server has another account, which must pass through it.
    /// </summary>
    public static string NewFolder()
    {
        var folder = Directory.CreateTempSubdirectory("nutrient-ledger-bench-").FullName;
        if (!OperatingSystem.IsWindows())
            File.SetUnixFileMode(folder, File.GetUnixFileMode(folder) | UnixFileMode.OtherExecute);
        return folder;
    }

    public async ValueTask DisposeAsync()
    {
        NpgsqlConnection.ClearAllPools();
        await RunAsync($"drop database {name} with (force)");
        NpgsqlConnection.ClearAllPools();
        if (own is not null)
            await own.DisposeAsync();
        if (folder is not null)
            Directory.Delete(folder, recursive: true);
    }

    private async Task RunAsync(string sql)
    {
        await using var source = NpgsqlDataSource.Create(server);
        await using var command = source.CreateCommand(sql);
        await command.ExecuteNonQueryAsync();
    }
}
