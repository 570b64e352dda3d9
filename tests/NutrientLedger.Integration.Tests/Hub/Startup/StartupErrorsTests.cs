using System.Globalization;
using System.Net;
using System.Net.Sockets;
using NutrientLedger.Hub.Startup;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Hub.Startup;

/// <summary>The message when a hub cannot start: plain words, with the remedy, and never a stack trace.</summary>
public sealed class StartupErrorsTests
{
    [Theory]
    [InlineData("Unknown option 'htp-port'", "run", "--htp-port", "0")]
    [InlineData("--data needs a value: --data FOLDER.", "verify", "--data")]
    [InlineData("--data needs a value: --data FOLDER.", "run", "--data", "--http-port", "0")]
    [InlineData("\"abc\" is not a number. Write digits", "run", "--http-port", "abc")]
    [InlineData("\"x\" is not a number. Write digits", "demo", "--speed", "x")]
    [InlineData("--speed must be above 0", "demo", "--speed", "0")]
    [InlineData("HttpPort is \"70000\" (from --http-port)", "run", "--http-port", "70000")]
    [InlineData("Broker:Address is \"somewhere\" (from --broker)", "run", "--broker", "somewhere")]
    [InlineData("Broker:Farms is \"a\" (from --farms). It needs Broker:Address", "run", "--farms", "a")]
    [InlineData("\"A B\" is not a farm id", "run", "--broker", "127.0.0.1:1", "--farms", "a,A B")]
    [InlineData("Do not combine --mqtt-port with --broker", "run", "--broker", "127.0.0.1:1", "--mqtt-port", "0")]
    [InlineData("HttpPort is \"1883\" (from --http-port)", "run", "--http-port", "1883")]
    [InlineData("Invalid connection string", "run", "--database", "nonsense")]
    [InlineData("Invalid connection string", "verify", "--database", "Hots=127.0.0.1")]
    [InlineData("it names no host", "run", "--database", "Username=hub")]
    [InlineData("The settings file /nowhere.json cannot be read", "export", "a", "--settings", "/nowhere.json")]
    [InlineData(
        "Check the connection string and that the server is running",
        "verify",
        "--database",
        "Host=127.0.0.1;Port=1"
    )]
    public Task A_wrong_option_is_answered_with_what_is_right(string expected, params string[] arguments) =>
        ReportsAsync(expected, arguments);

    [Fact]
    public async Task An_unknown_option_in_the_settings_file_is_rejected()
    {
        var folder = Directory.CreateTempSubdirectory("settings-").FullName;
        try
        {
            await File.WriteAllTextAsync(Path.Combine(folder, HubConfiguration.FileName), """{ "HtpPort": 1 }""");
            await ReportsAsync("There is no option HtpPort", "run", "--data", folder);
            await ReportsAsync("Did you mean HttpPort?", "import", "farm", "farm.json", "--data", folder);
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    [DatabaseFact]
    public Task A_data_folder_that_cannot_be_made_is_named() =>
        ReportsAsync("The data folder /dev/null/here", "import", "farm", "farm.json", "--data", "/dev/null/here");

    [DatabaseTheory]
    [InlineData("Database=no_such_database", "Create it with createdb, or name another database")]
    [InlineData("Username=no_such_account;Password=wrong", "Correct Username and Password in the connection string")]
    public async Task A_database_that_rejects_the_hub_ends_the_start_at_once(string wrong, string expected) =>
        await ReportsAsync(
            expected,
            "run",
            "--database",
            $"{await TestServer.ConnectionStringAsync()};{wrong}",
            "--http-port",
            "0",
            "--mqtt-port",
            "0"
        );

    [Fact]
    public async Task A_taken_port_is_answered_with_the_option_that_changes_it()
    {
        using var taken = new TcpListener(IPAddress.Loopback, 0);
        taken.Start();
        var port = ((IPEndPoint)taken.LocalEndpoint).Port.ToString(CultureInfo.InvariantCulture);
        await ReportsAsync("choose another port with --http-port", "run", "--http-port", port, "--mqtt-port", "0");
    }

    private static async Task ReportsAsync(string expected, params string[] arguments)
    {
        await using var hub = HubProcess.Start(arguments);
        var code = await hub.EndAsync();
        // The console wraps lines.
        Assert.Contains(expected, hub.Output.Replace('\n', ' '), StringComparison.Ordinal);
        Assert.DoesNotContain("   at ", hub.Output, StringComparison.Ordinal);
        Assert.Equal(1, code);
    }
}
