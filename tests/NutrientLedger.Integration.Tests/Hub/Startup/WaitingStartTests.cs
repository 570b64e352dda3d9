using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Integration.Tests.Ingestion;
using NutrientLedger.Persistence.Postgres;

namespace NutrientLedger.Integration.Tests.Hub.Startup;

/// <summary>A hub whose database server starts after it, as after a power cut on two machines.</summary>
public sealed class WaitingStartTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("nutrient-ledger-waiting-").FullName;

    public WaitingStartTests() => TestServer.LetOthersPass(folder);

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [DatabaseFact]
    public async Task A_hub_waits_for_a_server_that_is_away_and_starts_when_it_answers()
    {
        var server = await PrivatePostgres.StartAsync(folder, CancellationToken.None);
        await server.DisposeAsync();
        await using var hub = HubProcess.Start(
            "run",
            "--database",
            server.ConnectionString,
            "--http-port",
            "0",
            "--mqtt-port",
            "0"
        );
        await IngestionTestHost.Until(() => hub.HasEnded || Lines(hub, "The hub waits for it") > 0);
        Assert.False(hub.HasEnded, hub.Output);

        await using var started = await PrivatePostgres.StartAsync(folder, CancellationToken.None);
        await hub.ListeningAsync();
        Assert.Equal(1, Lines(hub, "The hub waits for it"));
        Assert.Equal(1, Lines(hub, "The hub starts"));
        await hub.KillAsync();
    }

    private static int Lines(HubProcess hub, string text) =>
        hub.Output.Split('\n').Count(line => line.Contains(text, StringComparison.Ordinal));
}
