using NutrientLedger.Hub.Startup;
using NutrientLedger.Integration.Tests.Demo;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Persistence.Postgres;

namespace NutrientLedger.Integration.Tests.Faults;

/// <summary>
/// Goal: a power cut ends hub and database server at once, and the next start of the demo recovers both by itself. It
/// uses the default set-up: the hub's own PostgreSQL in a folder.
/// </summary>
public sealed class PowerCutTests
{
    private const int Cuts = 3;

    [DatabaseFact]
    public async Task A_power_cut_of_hub_and_database_loses_nothing_and_the_last_hub_stops_the_server()
    {
        var folder = Directory.CreateTempSubdirectory("nutrient-ledger-power-").FullName;
        TestServer.LetOthersPass(folder);
        try
        {
            for (var cut = 0; cut < Cuts; cut++)
            {
                await using var hub = HubProcess.PlayOnce(folder);
                await hub.ListeningAsync();
                await Task.Delay(TimeSpan.FromMilliseconds(1500 + (500 * cut)));
                await hub.KillAsync();
                await ServerProcesses.KillAsync(folder);
            }
            await using (var last = HubProcess.PlayOnce(folder))
                Assert.True(await last.EndAsync() == 0, last.Output);
            Assert.Empty(ServerProcesses.In(folder));

            await using var server = await PrivatePostgres.StartAsync(
                Path.Combine(folder, DemoFolder.Database),
                CancellationToken.None
            );
            await using var posted = new PostedLedger(server.ConnectionString);
            ExpectedSeason.AssertSame(await posted.ReadAsync());
            Assert.Empty((await posted.AuditAsync()).Findings);
        }
        finally
        {
            foreach (var left in ServerProcesses.In(folder))
                left.Kill();
            Directory.Delete(folder, recursive: true);
        }
    }
}
