using NutrientLedger.Integration.Tests.Fixtures;
using Xunit.Abstractions;

namespace NutrientLedger.Integration.Tests.Faults.Campaign;

/// <summary>
/// Goal: no combination of faults, untidy messages and people's corrections loses an acknowledged reading, doubles one,
/// or leaves a ledger other than a clean rebuild makes. Method: cases chosen by a seed run one after the other on two
/// hubs. A case that fails names the command that repeats it; its timing may differ then.
/// </summary>
public sealed class CampaignTests(TestDatabase database, ITestOutputHelper output) : IClassFixture<TestDatabase>
{
    [DatabaseFact]
    public async Task Random_faults_messages_and_corrections_leave_every_ledger_whole()
    {
        var (seed, cases) = (CampaignSeed.Seed, CampaignSeed.Cases);
        output.WriteLine($"{cases} cases from seed {seed}");
        output.WriteLine("| seed | readings | sent twice | corrupt | faults | edits | lost | doubled | seconds |");
        output.WriteLine("|---|---|---|---|---|---|---|---|---|");
        await using var hubs = new CampaignHubs(database.ConnectionString);
        await hubs.StartAsync();
        for (var i = 0; i < cases; i++)
        {
            await using var one = new CampaignCase(
                unchecked((seed + i) & int.MaxValue),
                hubs,
                database.ConnectionString
            );
            try
            {
                output.WriteLine(await one.RunAsync());
            }
            catch (Exception e)
            {
                output.WriteLine(await hubs.StateAsync());
                throw new InvalidOperationException(
                    $"Repeat it with: {CampaignSeed.Command(seed + i)}\n{e.Message}",
                    e
                );
            }
        }
    }
}
