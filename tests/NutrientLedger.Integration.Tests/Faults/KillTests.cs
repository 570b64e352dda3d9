using Microsoft.Extensions.DependencyInjection;
using NutrientLedger.Demo;
using NutrientLedger.Integration.Tests.Demo;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Persistence.Configuration;
using Xunit.Abstractions;

namespace NutrientLedger.Integration.Tests.Faults;

/// <summary>
/// Goal: whenever a hub dies, nothing acknowledged is missing and nothing counts twice. Method: the demo is killed with
/// SIGKILL twenty times while its season plays: at random moments, inside an event batch of the projection, inside the
/// posting of a correction and between commit and acknowledgement. The last run continues to the end and must equal the
/// undisturbed one.
/// </summary>
public sealed class KillTests(TestDatabase database, ITestOutputHelper output) : IClassFixture<TestDatabase>
{
    private const int Kills = 20;

    private readonly Dictionary<string, int> kills = [];

    [DatabaseFact]
    public async Task Twenty_kills_leave_the_season_as_if_nothing_had_happened()
    {
        var random = new Random(20_261_124);
        var folder = Directory.CreateTempSubdirectory("nutrient-ledger-kill-").FullName;
        try
        {
            for (var kill = 0; kill < Kills; kill++)
                await (
                    (kill % 5) switch
                    {
                        1 => KillAtTableAsync(folder, "ledger.line", "inside a projection batch", random),
                        2 => KillInRebuildAsync(folder),
                        3 => KillAtTableAsync(folder, "ingestion.device", "inside an append", random),
                        4 => KillUnacknowledgedAsync(folder, random),
                        _ => KillAtRandomAsync(folder, random),
                    }
                );
            await using var last = HubProcess.PlayOnce(folder, database.ConnectionString);
            var exit = await last.EndAsync();
            Assert.True(exit == 0, last.Output);
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
        foreach (var (phase, count) in kills.OrderBy(phase => phase.Key))
            output.WriteLine($"{count} kills {phase}");
        Assert.Equal(Kills, kills.Values.Sum());
        Assert.Equal(5, kills.Count);

        await using var posted = new PostedLedger(database.ConnectionString);
        ExpectedSeason.AssertSame(await posted.ReadAsync());
        ExpectedSeason.AssertSame(await posted.DevicesAsync());
        var audit = await posted.AuditAsync();
        Assert.Empty(audit.Findings);
    }

    private async Task KillAtRandomAsync(string folder, Random random)
    {
        await using var hub = HubProcess.PlayOnce(folder, database.ConnectionString);
        await hub.ListeningAsync();
        await Task.Delay(random.Next(1500));
        await hub.KillAsync();
        Count("at a random moment");
    }

    /// <summary>
    /// Plays the season from here through a proxy that withholds the hub's responses. What is committed then is
    /// unacknowledged.
    /// </summary>
    private async Task KillUnacknowledgedAsync(string folder, Random random)
    {
        await using var hub = HubProcess.Start(
            "run",
            "--database",
            database.ConnectionString,
            "--http-port",
            "0",
            "--mqtt-port",
            "0"
        );
        var (_, mqttPort) = await hub.ListeningAsync();
        await using var connection = new WithheldAcknowledgements(mqttPort);
        await using var posted = new PostedLedger(database.ConnectionString);
        using var playing = new CancellationTokenSource();
        var season = SeasonPlayback
            .Of(ExpectedSeason.Folder, Path.Combine(folder, "demo", "sent"), connection.Port, TimeProvider.System)
            .PlayAsync(speed: null, playing.Token);
        do
        {
            connection.PassOn();
            await Task.Delay(random.Next(50, 400));
            connection.Withhold();
            Assert.False(season.IsCompleted, "The season ended before anything was left unacknowledged.");
        } while (!await GrowsAsync(posted));
        await hub.KillAsync();
        await playing.CancelAsync();
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => season);
        Count("between commit and acknowledgement");
    }

    private async Task KillAtTableAsync(string folder, string table, string phase, Random random)
    {
        await using var hub = HubProcess.PlayOnce(folder, database.ConnectionString);
        await hub.ListeningAsync();
        await Task.Delay(random.Next(600));
        await using (var held = await Phase.HoldAsync(database.ConnectionString, $"lock table {table} in share mode"))
        {
            Assert.True(await held.SomebodyWaitsForAsync(table), $"Nobody came to {table}; {hub.Output}");
            await hub.KillAsync();
        }
        Count(phase);
    }

    /// <summary>
    /// Whether anything is committed in the next second. Devices whose window is full of unacknowledged messages send
    /// nothing new.
    /// </summary>
    private static async Task<bool> GrowsAsync(PostedLedger posted)
    {
        var before = await posted.JournalAsync();
        for (var look = 0; look < 100; look++)
        {
            if (await posted.JournalAsync() > before)
                return true;
            await Task.Delay(10);
        }
        return false;
    }

    /// <summary>
    /// The event mounts the same sensor again. It changes no amount, but rebuilds the farm into a shadow generation and
    /// switches to it. It is recorded while no hub runs, so the next hub begins with the rebuild and is stopped in it.
    /// </summary>
    private async Task KillInRebuildAsync(string folder)
    {
        await MountAgainAsync();
        await using (
            var held = await Phase.HoldAsync(database.ConnectionString, "lock table ledger.line in share mode")
        )
        {
            await using var hub = HubProcess.PlayOnce(folder, database.ConnectionString);
            Assert.True(await held.SomebodyWaitsForAsync("ledger.line"), $"No posting came; {hub.Output}");
            await hub.KillAsync();
        }
        Count("inside a rebuild");
    }

    private async Task MountAgainAsync()
    {
        await using var services = PostedLedger.Services(database.ConnectionString);
        var configurations = services.GetRequiredService<ConfigurationStore>();
        var at = await configurations.ReadAsync(PostedLedger.Farm, asOf: null, CancellationToken.None);
        var mounted = at.Events.Select(recorded => recorded.Event).OfType<SensorMounted>().First();
        await configurations.RecordAsync(PostedLedger.Farm, at.Version, [mounted], CancellationToken.None);
    }

    private void Count(string phase) => kills[phase] = kills.GetValueOrDefault(phase) + 1;
}
