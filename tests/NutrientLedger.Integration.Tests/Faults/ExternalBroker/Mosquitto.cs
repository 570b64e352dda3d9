using System.Diagnostics;
using System.Globalization;
using System.Net;
using System.Net.Sockets;
using NutrientLedger.Integration.Tests.Fixtures;

namespace NutrientLedger.Integration.Tests.Faults.ExternalBroker;

/// <summary>
/// Debian's mosquitto as a process with the settings of docker/mosquitto.conf, on a free port, with its own folder.
/// </summary>
internal sealed class Mosquitto : IAsyncDisposable
{
    private static readonly string[] Places =
    [
        "/usr/sbin/mosquitto",
        "/usr/local/sbin/mosquitto",
        "/usr/bin/mosquitto",
    ];
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(2);

    private readonly string folder = Directory.CreateTempSubdirectory("nutrient-ledger-mosquitto-").FullName;
    private Process? process;

    private Mosquitto(int port) => Port = port;

    public static string? Program { get; } = Places.FirstOrDefault(File.Exists);

    public int Port { get; }

    public static async Task<Mosquitto> StartAsync(int? queuedMax = null)
    {
        var broker = new Mosquitto(QuietPort.Take());
        var shared = await File.ReadAllTextAsync(Path.Combine(Root(), "docker", "mosquitto.conf"));
        if (queuedMax is { } fewer)
            shared = shared.Replace(
                "max_queued_messages 1000000",
                FormattableString.Invariant($"max_queued_messages {fewer}"),
                StringComparison.Ordinal
            );
        var own = $"""

            listener {broker.Port} 127.0.0.1
            persistence_location {broker.folder}/
            user {Environment.UserName}
            """;
        await File.WriteAllTextAsync(Path.Combine(broker.folder, "mosquitto.conf"), shared + own);
        await broker.RunAsync();
        return broker;
    }

    /// <summary>Starts it with the state of an earlier run and waits until it accepts a connection.</summary>
    public async Task RunAsync()
    {
        var program =
            Program ?? throw new FileNotFoundException("mosquitto is not installed: apt-get install mosquitto");
        process = Process.Start(
            new ProcessStartInfo(program, ["-c", Path.Combine(folder, "mosquitto.conf")])
            {
                RedirectStandardError = true,
                RedirectStandardOutput = true,
            }
        )!;
        process.BeginErrorReadLine();
        process.BeginOutputReadLine();
        using var limit = new CancellationTokenSource(Patience);
        while (true)
            try
            {
                using var connection = new TcpClient();
                await connection.ConnectAsync(IPAddress.Loopback, Port, limit.Token);
                return;
            }
            catch (SocketException)
            {
                Assert.False(process.HasExited, $"mosquitto ended before it listened on {Port}.");
                await Task.Delay(20, limit.Token);
            }
    }

    /// <summary>Kills it at once (SIGKILL).</summary>
    public async Task KillAsync()
    {
        process!.Kill();
        await process.WaitForExitAsync();
        process.Dispose();
    }

    /// <summary>Sends it a signal, such as STOP to suspend it and CONT to resume it.</summary>
    public Task SignalAsync(string signal) => SignalAsync(process!.Id, signal);

    public static async Task SignalAsync(int processId, string signal)
    {
        using var kill = Process.Start("kill", [$"-{signal}", processId.ToString(CultureInfo.InvariantCulture)]);
        await kill.WaitForExitAsync();
        Assert.Equal(0, kill.ExitCode);
    }

    public async ValueTask DisposeAsync()
    {
        await KillAsync();
        Directory.Delete(folder, recursive: true);
    }

    private static string Root()
    {
        var at = new DirectoryInfo(AppContext.BaseDirectory);
        while (!File.Exists(Path.Combine(at!.FullName, "NutrientLedger.sln")))
            at = at.Parent;
        return at.FullName;
    }
}

/// <summary>
/// A test that needs PostgreSQL and mosquitto. Without one it is skipped locally and fails on a build server.
/// </summary>
[AttributeUsage(AttributeTargets.Method)]
public sealed class BrokerFactAttribute : FactAttribute
{
    public BrokerFactAttribute()
    {
        if (TestServer.NothingMayBeSkipped)
            return;
        if (!TestServer.IsToBeHad)
            Skip = "No PostgreSQL: install its server programs, or name a server in NUTRIENT_LEDGER_TEST_POSTGRES.";
        else if (Mosquitto.Program is null)
            Skip = "No MQTT broker: apt-get install mosquitto.";
    }
}
