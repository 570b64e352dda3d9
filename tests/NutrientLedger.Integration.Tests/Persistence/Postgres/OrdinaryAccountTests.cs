using System.Diagnostics;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Persistence.Postgres;

public sealed class OrdinaryAccountTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("nutrient-ledger-account-").FullName;

    public OrdinaryAccountTests() => TestServer.LetOthersPass(folder);

    public void Dispose() => Directory.Delete(folder, recursive: true);

    /// <summary>
    /// A hub under an ordinary account. Root, which runs tests in containers, uses one that exists on every Linux.
    /// </summary>
    [DatabaseFact]
    public async Task Under_a_new_ordinary_account_data_lie_in_its_home_and_the_server_runs_as_that_account_and_stops_with_the_hub()
    {
        var account = Environment.IsPrivilegedProcess ? "daemon" : Environment.UserName;
        // The account may have no access to the checkout, so it gets a copy of the hub.
        var copy = Path.Combine(folder, "hub");
        await SayAsync("cp", "-r", AppContext.BaseDirectory, copy);
        var data = Directory.CreateDirectory(Path.Combine(folder, "of-the-hub")).FullName;
        if (Environment.IsPrivilegedProcess)
            await SayAsync("chown", account, data);
        string[] hub = ["dotnet", Path.Combine(copy, "NutrientLedger.Hub.dll"), "run"];
        string[] line =
        [
            .. Environment.IsPrivilegedProcess
                ? ["setpriv", $"--reuid={account}", $"--regid={account}", "--clear-groups"]
                : Array.Empty<string>(),
            .. hub,
            "--http-port",
            "0",
            "--mqtt-port",
            "0",
        ];
        var start = new ProcessStartInfo(line[0], line[1..])
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            WorkingDirectory = "/",
        };
        start.Environment["HOME"] = data;
        start.Environment.Remove("XDG_DATA_HOME");
        using var limit = new CancellationTokenSource(PersistenceTestHost.Patience);
        using var running = Process.Start(start)!;
        // The default location, in an empty home like that of a new account.
        var database = Path.Combine(data, ".local/share/nutrient-ledger/postgres/data");
        try
        {
            var printed = "";
            while (!printed.Contains("mqtt://", StringComparison.Ordinal))
                printed +=
                    await running.StandardOutput.ReadLineAsync(limit.Token)
                    ?? throw new InvalidOperationException(
                        printed + await running.StandardError.ReadToEndAsync(limit.Token)
                    );
            var server = File.ReadLines(Path.Combine(database, "postmaster.pid")).First();
            Assert.Equal($"{account} 700", await SayAsync("stat", "-c", "%U %a", database));
            Assert.Equal(account, await SayAsync("stat", "-c", "%U", $"/proc/{server}"));
        }
        finally
        {
            using var asked = Process.Start("kill", ["-TERM", $"{running.Id}"]);
        }
        await running.WaitForExitAsync(limit.Token);
        Assert.False(File.Exists(Path.Combine(database, "postmaster.pid")));
    }

    private static async Task<string> SayAsync(string program, params string[] arguments)
    {
        using var run = Process.Start(new ProcessStartInfo(program, arguments) { RedirectStandardOutput = true })!;
        var said = await run.StandardOutput.ReadToEndAsync();
        await run.WaitForExitAsync();
        Assert.Equal(0, run.ExitCode);
        return said.Trim();
    }
}
