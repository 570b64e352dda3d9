using System.Diagnostics;
using System.Net.Sockets;
using NutrientLedger.Persistence.Postgres;
using Testcontainers.PostgreSql;

namespace NutrientLedger.Integration.Tests.Fixtures;

/// <summary>
/// The PostgreSQL server of a test run: the one named by NUTRIENT_LEDGER_TEST_POSTGRES, else a container where an
/// engine responds, else a private server from the machine's own binaries. Its folder is deleted when the run ends.
/// </summary>
public static class TestServer
{
    private const string Named = "NUTRIENT_LEDGER_TEST_POSTGRES";

    /// <summary>Version 15: the oldest one in wide use with everything that the hub needs.</summary>
    private const string Image = "postgres:15";

    private static readonly Lazy<Task<string>> Running = new(StartAsync);

    /// <summary>The connection string; the first call starts the server.</summary>
    public static Task<string> ConnectionStringAsync() => Running.Value;

    /// <summary>
    /// Whether tests run on a build server. There a missing database is a failure and nothing is skipped.
    /// </summary>
    public static bool NothingMayBeSkipped { get; } = Environment.GetEnvironmentVariable("CI") == "true";

    /// <summary>Whether any server is available.</summary>
    public static bool IsToBeHad { get; } = NamedServer is not null || EngineSocket is not null || BinariesAreThere();

    private static string? NamedServer => Environment.GetEnvironmentVariable(Named);

    private static string? EngineSocket =>
        (Environment.GetEnvironmentVariable("DOCKER_HOST") ?? "unix:///var/run/docker.sock") is var host
        && host.StartsWith("unix://", StringComparison.Ordinal)
        && Answers(host["unix://".Length..])
            ? host
            : null;

    private static async Task<string> StartAsync()
    {
        if (NamedServer is { } named)
            return Say($"the server named by {Named}", named);
        if (EngineSocket is { } engine && await ContainerAsync(engine) is { } contained)
            return contained;
        var folder = Directory.CreateTempSubdirectory("nutrient-ledger-test-").FullName;
        LetOthersPass(folder);
        var server = await PrivatePostgres.StartAsync(folder, CancellationToken.None);
        StopWhenThisProcessEnds(folder);
        return Say($"a private server in {folder}", server.ConnectionString);
    }

    /// <summary>
    /// A server in a container; null where the engine cannot get the image. The next choice is used then.
    /// </summary>
    private static async Task<string?> ContainerAsync(string engine)
    {
        try
        {
            // If this run is killed, the engine's own reaper removes the container.
            var container = new PostgreSqlBuilder(Image).WithDatabase("postgres").Build();
            await container.StartAsync();
            return Say($"a container of {Image} at {engine}", container.GetConnectionString());
        }
        catch (Exception e) when (BinariesAreThere())
        {
            Console.WriteLine($"The engine at {engine} could not start a container of {Image}: {e.Message}");
            return null;
        }
    }

    /// <summary>
    /// Lets other accounts enter: temporary folders are private, and root starts the server under another account.
    /// </summary>
    public static void LetOthersPass(string folder)
    {
        if (!OperatingSystem.IsWindows())
            File.SetUnixFileMode(folder, File.GetUnixFileMode(folder) | UnixFileMode.OtherExecute);
    }

    /// <summary>
    /// Starts a watcher outside this process that stops the server and deletes its folder, however the process ends.
    /// The test host is killed a moment after its last test, long before a server is down.
    /// </summary>
    private static void StopWhenThisProcessEnds(string folder)
    {
        var script = $"""
            tail --pid={Environment.ProcessId} -f /dev/null
            server=$(head -n 1 '{folder}/data/postmaster.pid') && kill -INT "$server" && tail --pid="$server" -f /dev/null
            rm -rf '{folder}'
            """;
        Process
            .Start(new ProcessStartInfo("setsid", ["sh", "-c", $"{{ {script}\n}} </dev/null >/dev/null 2>&1"]))!
            .Dispose();
    }

    private static string Say(string which, string connectionString)
    {
        Console.WriteLine($"PostgreSQL of this test run: {which}.");
        return connectionString;
    }

    private static bool Answers(string socketPath)
    {
        try
        {
            using var socket = new Socket(AddressFamily.Unix, SocketType.Stream, ProtocolType.Unspecified);
            socket.Connect(new UnixDomainSocketEndPoint(socketPath));
            return true;
        }
        catch (SocketException)
        {
            return false;
        }
    }

    private static bool BinariesAreThere()
    {
        try
        {
            return PostgresBinaries.Choose(PostgresBinaries.StandardFolders(), madeBy: null).MajorVersion > 0;
        }
        catch (PrivatePostgresException)
        {
            return false;
        }
    }
}
