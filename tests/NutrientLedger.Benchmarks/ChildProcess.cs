using System.Diagnostics;
using System.Text.RegularExpressions;

namespace NutrientLedger.Benchmarks;

/// <summary>
/// A part of the measurement in its own process, so that its resource use is separate from the devices'.
/// </summary>
internal sealed partial class ChildProcess : IAsyncDisposable
{
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(1);

    private readonly Process process;

    private ChildProcess(Process process) => this.process = process;

    public int Id => process.Id;

    public int HttpPort { get; private set; }

    public int MqttPort { get; private set; }

    /// <summary>Starts a .NET program from this program's folder. Waits until it prints its MQTT address.</summary>
    public static async Task<ChildProcess> StartAsync(string assembly, params IEnumerable<string> arguments)
    {
        var child = new ChildProcess(
            Process.Start(
                // Another version's program comes with its own path.
                new ProcessStartInfo("dotnet", [Path.Combine(AppContext.BaseDirectory, assembly), .. arguments])
                {
                    RedirectStandardOutput = true,
                }
            )!
        );
        using var limit = new CancellationTokenSource(Patience);
        while (child.MqttPort == 0)
        {
            var line =
                await child.process.StandardOutput.ReadLineAsync(limit.Token)
                ?? throw new InvalidOperationException($"{assembly} ended before it listened.");
            if (Http().Match(line) is { Success: true } http)
                child.HttpPort = int.Parse(http.Groups[1].ValueSpan);
            if (Mqtt().Match(line) is { Success: true } mqtt)
                child.MqttPort = int.Parse(mqtt.Groups[1].ValueSpan);
        }
        _ = child.PassOnAsync();
        return child;
    }

    /// <summary>Sends SIGTERM, and kills the process if it does not end.</summary>
    public async ValueTask DisposeAsync()
    {
        using (var ask = Process.Start("kill", ["-TERM", $"{process.Id}"]))
            await ask.WaitForExitAsync();
        using var limit = new CancellationTokenSource(Patience);
        try
        {
            await process.WaitForExitAsync(limit.Token);
        }
        catch (OperationCanceledException)
        {
            process.Kill();
            throw;
        }
        finally
        {
            process.Dispose();
        }
    }

    /// <summary>Warnings are printed next to the numbers that they may explain.</summary>
    private async Task PassOnAsync()
    {
        var output = process.StandardOutput;
        while (await output.ReadLineAsync() is { } line)
            if (
                !line.Contains(" INF ", StringComparison.Ordinal) && !line.StartsWith("Data:", StringComparison.Ordinal)
            )
                await Console.Error.WriteLineAsync(line);
    }

    [GeneratedRegex(@"http://127\.0\.0\.1:(\d+)")]
    private static partial Regex Http();

    [GeneratedRegex(@"mqtt://127\.0\.0\.1:(\d+)")]
    private static partial Regex Mqtt();
}
