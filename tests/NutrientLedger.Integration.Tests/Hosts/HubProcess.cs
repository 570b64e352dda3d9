using System.Diagnostics;
using System.Text.RegularExpressions;
using NutrientLedger.Hub.Startup;

namespace NutrientLedger.Integration.Tests.Hosts;

/// <summary>The hub in its own process, so that it can be killed as a power cut would.</summary>
public sealed partial class HubProcess : IAsyncDisposable
{
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(4);

    private const string Options = HubConfiguration.VariablePrefix;

    private readonly Process process;
    private readonly List<string> lines = [];
    private readonly TaskCompletionSource<(int Http, int Mqtt)> listening = new(
        TaskCreationOptions.RunContinuationsAsynchronously
    );
    private int httpPort;

    private HubProcess(Process process)
    {
        this.process = process;
        process.OutputDataReceived += (_, line) => Receive(line.Data);
        process.ErrorDataReceived += (_, line) => Receive(line.Data);
        process.Exited += (_, _) =>
            listening.TrySetException(new InvalidOperationException($"The hub ended before it listened:\n{Output}"));
    }

    /// <summary>Everything the hub has printed so far.</summary>
    public string Output
    {
        get
        {
            lock (lines)
                return string.Join('\n', lines);
        }
    }

    public int Id => process.Id;

    /// <summary>Starts the hub with these arguments; it may not listen yet.</summary>
    public static HubProcess Start(params string[] arguments)
    {
        var start = new ProcessStartInfo("dotnet")
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            WorkingDirectory = AppContext.BaseDirectory,
        };
        // Options in the environment of the test run are not meant for this hub.
        foreach (
            var name in start
                .Environment.Keys.Where(name => name.StartsWith(Options, StringComparison.OrdinalIgnoreCase))
                .ToArray()
        )
            start.Environment.Remove(name);
        start.ArgumentList.Add(Path.Combine(AppContext.BaseDirectory, "NutrientLedger.Hub.dll"));
        foreach (var argument in arguments)
            start.ArgumentList.Add(argument);
        var hub = new HubProcess(new Process { StartInfo = start, EnableRaisingEvents = true });
        hub.process.Start();
        hub.process.BeginOutputReadLine();
        hub.process.BeginErrorReadLine();
        return hub;
    }

    /// <summary>
    /// Starts the demo that plays everything at once and stops. Its bookmarks are in a folder; the database is the
    /// given one or its own.
    /// </summary>
    public static HubProcess PlayOnce(string folder, string? connectionString = null) =>
        Start([
            "demo",
            "--once",
            "--data",
            folder,
            "--http-port",
            "0",
            "--mqtt-port",
            "0",
            .. connectionString is null ? Array.Empty<string>() : ["--database", connectionString],
        ]);

    /// <summary>Waits until the hub prints its ports.</summary>
    public Task<(int Http, int Mqtt)> ListeningAsync() => listening.Task.WaitAsync(Patience);

    /// <summary>Waits for the hub to end by itself. Returns its exit code.</summary>
    public async Task<int> EndAsync()
    {
        using var limit = new CancellationTokenSource(Patience);
        await process.WaitForExitAsync(limit.Token);
        return process.ExitCode;
    }

    /// <summary>Kills the process at once, with no chance to clean up (SIGKILL).</summary>
    public async Task KillAsync()
    {
        process.Kill();
        await process.WaitForExitAsync();
    }

    public bool HasEnded => process.HasExited;

    /// <summary>Sends it a signal by its name, such as STOP and CONT.</summary>
    public async Task SignalAsync(string name)
    {
        using var signal = Process.Start("kill", [$"-{name}", $"{process.Id}"]);
        await signal.WaitForExitAsync();
    }

    public async ValueTask DisposeAsync()
    {
        if (!process.HasExited)
            await KillAsync();
        process.Dispose();
    }

    private void Receive(string? line)
    {
        if (line is null)
            return;
        lock (lines)
            lines.Add(line);
        if (HttpAddress().Match(line) is { Success: true } http)
            httpPort = int.Parse(http.Groups[1].ValueSpan);
        if (MqttAddress().Match(line) is { Success: true } mqtt)
            listening.TrySetResult((httpPort, int.Parse(mqtt.Groups[1].ValueSpan)));
    }

    [GeneratedRegex(@"http://127\.0\.0\.1:(\d+)")]
    private static partial Regex HttpAddress();

    [GeneratedRegex(@"mqtt://127\.0\.0\.1:(\d+)")]
    private static partial Regex MqttAddress();
}
