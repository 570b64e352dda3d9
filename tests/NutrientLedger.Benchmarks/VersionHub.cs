using System.Diagnostics;
using System.Globalization;
using Npgsql;

namespace NutrientLedger.Benchmarks;

/// <summary>
/// A hub of any version with its own PostgreSQL, used only from outside: by its commands, MQTT, HTTP and SQL that does
/// not know its tables.
/// </summary>
internal sealed class VersionHub : IAsyncDisposable
{
    // The hub measures its lag every two seconds.
    private static readonly TimeSpan LagInterval = TimeSpan.FromSeconds(2.2);

    private readonly ChildProcess process;
    private readonly string folder;
    private readonly int postmaster;

    private VersionHub(HubVersion version, ChildProcess process, string folder)
    {
        (Version, this.process, this.folder) = (version, process, folder);
        Http = new() { BaseAddress = new($"http://127.0.0.1:{process.HttpPort}"), Timeout = TimeSpan.FromMinutes(10) };
        // PostgreSQL's lock file: process id, data folder, start time, port, folder of the socket.
        var server = File.ReadAllLines(
            Directory.GetFiles(folder, "postmaster.pid", SearchOption.AllDirectories).Single()
        );
        postmaster = int.Parse(server[0], CultureInfo.InvariantCulture);
        Postgres = NpgsqlDataSource.Create(
            $"Host={server[4]};Port={server[3]};Username=nutrient_ledger;Database=nutrient_ledger"
        );
    }

    public HubVersion Version { get; }

    public HttpClient Http { get; }

    public NpgsqlDataSource Postgres { get; }

    public int MqttPort => process.MqttPort;

    /// <summary>Processor time of the hub and its PostgreSQL.</summary>
    public Cpu Cpu => new(ProcessUsage.CpuSeconds(process.Id), ProcessUsage.ServerCpuSeconds(postmaster));

    /// <summary>Starts a hub for each version, runs the measurement, and deletes the data.</summary>
    public static async Task WithAllAsync(
        IReadOnlyList<HubVersion> versions,
        IReadOnlyList<SeasonFarm> farms,
        Func<IReadOnlyList<VersionHub>, Task> measure
    )
    {
        var hubs = new List<VersionHub>();
        try
        {
            foreach (var version in versions)
            {
                hubs.Add(await StartAsync(version));
                var watch = Stopwatch.StartNew();
                foreach (var farm in farms)
                    await hubs[^1].ImportAsync(farm);
                Console.WriteLine($"{version.Name}: {farms.Count} farms imported in {watch.Elapsed.TotalSeconds:0} s");
            }
            await measure(hubs);
        }
        finally
        {
            foreach (var hub in hubs)
                await hub.DisposeAsync();
        }
    }

    public static async Task<VersionHub> StartAsync(HubVersion version)
    {
        var folder = BenchDatabase.NewFolder();
        string[] run = ["run", "--data", folder, "--http-port", "0", "--mqtt-port", "0"];
        return new(version, await ChildProcess.StartAsync(version.Program, run), folder);
    }

    /// <summary>Imports a farm, also with a field redrawn.</summary>
    public async Task ImportAsync(SeasonFarm farm, RedrawnField? redrawn = null) =>
        await Version.RunAsync("import", "farm", await farm.WriteAsync(folder, redrawn), "--data", folder);

    /// <summary>Waits until ledgers are no longer behind the journal.</summary>
    public async Task SettleAsync()
    {
        do await Task.Delay(LagInterval);
        while ((await LagAsync()) is not 0);
    }

    public async Task ExecuteAsync(string sql)
    {
        await using var command = Postgres.CreateCommand(sql);
        command.CommandTimeout = 600;
        await command.ExecuteNonQueryAsync();
    }

    public async ValueTask DisposeAsync()
    {
        Http.Dispose();
        await Postgres.DisposeAsync();
        await process.DisposeAsync();
        Directory.Delete(folder, recursive: true);
    }

    /// <summary>Events that are not posted; null when it is not known.</summary>
    private async Task<double?> LagAsync() =>
        HubMetrics.Values(await Http.GetStringAsync("/metrics"), "persistence_posting_lag_events").FirstOrDefault();
}

/// <summary>Processor time of a program and of its PostgreSQL server, in seconds.</summary>
internal readonly record struct Cpu(double Program, double Server)
{
    public double Both => Program + Server;

    public static Cpu operator +(Cpu a, Cpu b) => new(a.Program + b.Program, a.Server + b.Server);

    public static Cpu operator -(Cpu a, Cpu b) => new(a.Program - b.Program, a.Server - b.Server);
}
