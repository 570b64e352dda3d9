using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Store;
using Xunit.Abstractions;

namespace NutrientLedger.Integration.Tests.Demo;

/// <summary>
/// Goal: a hub that dies while it posts a correction leaves either the ledger before or the one after. Method: thirty corrections,
/// the hub killed with SIGKILL in each: while rows are written beside, inside the switch, and at random moments. After each kill
/// the live ledger is compared with a full posting under the register it says it rests on.
/// </summary>
public sealed class CorrectionKillTests(TestDatabase database, ITestOutputHelper output) : IClassFixture<TestDatabase>
{
    private const int Kills = 30;
    private const int Messages = 120;

    private const string Noted =
        "(select wanted_position from ledger.generation) = (select max(seq_id) from journal.mt_events)";

    [DatabaseFact]
    public async Task Thirty_kills_leave_the_old_or_the_new_generation_and_the_next_hub_completes_it()
    {
        var random = new Random(20_261_125);
        var phases = new SortedDictionary<string, int>();
        await using var store = await StoreHost.StartAsync(database.ConnectionString, keepsLedgersCurrent: false);
        await store.RecordAsync(Some.Farm, Some.Register());
        for (var i = 0; i < Messages; i++)
            await store.AppendAsync(Some.Message((i * 600) + 1, (i + 1) * 600));
        await using (await StoreHost.StartAsync(database.ConnectionString))
            await store.PostedAsync();

        for (var kill = 0; kill < Kills; kill++)
        {
            // The correction of the kill before is still to be posted when the next hub is to be killed in its switch.
            if (kill % 3 != 1)
                await store.RecordAsync(Some.Farm, Some.Redrawn(kill % 2 == 0 ? -949_999_500 : -950_100_000));
            var phase = (kill % 3) switch
            {
                0 => await KillWhereAsync(
                    "lock table ledger.tile in share mode",
                    $"relation = 'ledger.tile'::regclass and {Noted}"
                ),
                1 => await KillWhereAsync("select 1 from ledger.generation for update", "locktype = 'transactionid'"),
                _ => await KillAtRandomAsync(random),
            };
            phases[phase] = phases.GetValueOrDefault(phase) + 1;
            Assert.Empty((await store.AuditAsync()).Findings);
        }
        foreach (var (phase, count) in phases)
            output.WriteLine($"{count} kills, found then: {phase}");
        Assert.Equal(Kills, phases.Values.Sum());

        await using var last = await StoreHost.StartAsync(database.ConnectionString);
        await store.PostedAsync();
        var audit = await store.AuditAsync();
        Assert.Empty(audit.Findings);
        Assert.True(audit.Lines > 0 && audit.Tiles > 0);
        await StoreHost.UntilAsync(async () =>
            await database.ReadAsync<long>("select count(distinct generation) from ledger.tile") == 1
        );
    }

    /// <summary>Kills the hub as it waits for a lock: tiles stop it while it posts beside, the farm's row as it switches.</summary>
    private async Task<string> KillWhereAsync(string hold, string waitsFor)
    {
        await using var held = await Phase.HoldAsync(database.ConnectionString, hold);
        await using var hub = Start();
        await StoreHost.UntilAsync(() =>
            database.ReadAsync<bool>($"select exists (select 1 from pg_locks where not granted and {waitsFor})")
        );
        await hub.KillAsync();
        return await FoundAsync();
    }

    private async Task<string> KillAtRandomAsync(Random random)
    {
        await using var hub = Start();
        await hub.ListeningAsync();
        await Task.Delay(random.Next(1500));
        await hub.KillAsync();
        return await FoundAsync();
    }

    private HubProcess Start() =>
        HubProcess.Start("run", "--database", database.ConnectionString, "--http-port", "0", "--mqtt-port", "0");

    private Task<string> FoundAsync() =>
        database.ReadAsync<string>(
            """
            select case when register_position < wanted_position then 'the old generation' else 'the new generation' end
                || case when exists (select 1 from ledger.line row where row.generation <> live.generation)
                    then ', rows of the other beside it' else '' end
                || case when position < (select max(seq_id) from journal.mt_events) then ', correction not yet noted' else '' end
            from ledger.generation live
            """
        );
}
