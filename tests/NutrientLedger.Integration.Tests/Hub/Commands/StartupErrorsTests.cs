using System.Globalization;
using System.Net;
using System.Net.Sockets;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Hub.Commands;

/// <summary>What a person is told whose hub cannot start: in plain words, with the way out, and never as a list of calls.</summary>
public sealed class StartupErrorsTests
{
    [Theory]
    [InlineData("Unknown option 'htp-port'", "run", "--htp-port", "0")]
    [InlineData("--speed must be above 0", "demo", "--speed", "0")]
    [InlineData("A port must be 1 to 65535", "run", "--http-port", "70000")]
    [InlineData("--broker must be HOST:PORT", "run", "--broker", "somewhere")]
    [InlineData("--farms and --client-name need --broker", "run", "--farms", "a")]
    [InlineData("\"A B\" in --farms is not a farm id", "run", "--broker", "127.0.0.1:1", "--farms", "a,A B")]
    [InlineData("Do not combine --mqtt-port with --broker", "run", "--broker", "127.0.0.1:1", "--mqtt-port", "0")]
    [InlineData("--http-port and --mqtt-port must differ", "run", "--http-port", "1883")]
    [InlineData("Invalid connection string", "run", "--database", "nonsense")]
    [InlineData("Invalid connection string", "verify", "--database", "Hots=127.0.0.1")]
    [InlineData("it names no host", "run", "--database", "Username=hub")]
    [InlineData(
        "Check the connection string and that the server is running",
        "run",
        "--database",
        "Host=127.0.0.1;Port=1",
        "--http-port",
        "0",
        "--mqtt-port",
        "0"
    )]
    public Task A_wrong_option_is_answered_with_what_is_right(string told, params string[] arguments) =>
        ToldAsync(told, arguments);

    [DatabaseFact]
    public Task A_data_folder_that_cannot_be_made_is_named() =>
        ToldAsync("The data folder /dev/null/here", "import", "farm", "farm.json", "--data", "/dev/null/here");

    [Fact]
    public async Task A_taken_port_is_answered_with_the_option_that_changes_it()
    {
        using var taken = new TcpListener(IPAddress.Loopback, 0);
        taken.Start();
        var port = ((IPEndPoint)taken.LocalEndpoint).Port.ToString(CultureInfo.InvariantCulture);
        await ToldAsync("choose another port with --http-port", "run", "--http-port", port, "--mqtt-port", "0");
    }

    private static async Task ToldAsync(string told, params string[] arguments)
    {
        await using var hub = HubProcess.Start(arguments);
        var code = await hub.EndAsync();
        // Lines are broken where the console ends.
        Assert.Contains(told, hub.Output.Replace('\n', ' '), StringComparison.Ordinal);
        Assert.DoesNotContain("   at ", hub.Output, StringComparison.Ordinal);
        Assert.Equal(1, code);
    }
}
