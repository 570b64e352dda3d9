using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using Xunit.Abstractions;

namespace NutrientLedger.Integration.Tests.Faults;

/// <summary>
/// Goal: a hub that dies while it posts a correction leaves either the ledger before or the one after, never a mixture.
/// Method: thirty kills with SIGKILL, six in each of four phases and six at random moments. For a phase, a lock from
/// outside stops its SQL command and the hub is killed there. After each kill the live ledger is compared with a full
/// posting under the configuration stored with it.
/// </summary>
public sealed class CorrectionKillTests(TestDatabase database, ITestOutputHelper output) : IClassFixture<TestDatabase>
{
    private const int Rounds = 6;
    private const int Messages = 120;

    private const string IsBehind = "(position < (select max(event.position) from journal.event))";
    private const string Pending = "(configuration_position < wanted_configuration_position)";
    private const string HasOrphanedRows = """
        (exists (select 1 from ledger.line as row join ledger.partition as read using (farm, season, applicator)
                where row.generation <> read.generation)
            or exists (select 1 from ledger.tile as row join ledger.partition as read using (farm, season, applicator)
                where row.generation <> read.generation))
        """;

    [DatabaseFact]
    public async Task Thirty_kills_leave_the_old_or_the_new_generation_and_the_next_hub_completes_it()
    {
        var random = new Random(20_261_125);
        var found = new SortedDictionary<string, int>(StringComparer.Ordinal);
        await using var store = await PersistenceTestHost.StartAsync(
            database.ConnectionString,
            keepsLedgersCurrent: false
        );
        await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
        for (var i = 0; i < Messages; i++)
            await store.AppendAsync(Some.Message((i * 600) + 1, (i + 1) * 600));
        await using (await PersistenceTestHost.StartAsync(database.ConnectionString))
            await store.PostedAsync();

        for (var round = 0; round < Rounds; round++)
        {
            await store.RecordAsync(Some.Farm, Some.Redrawn(-949_999_500 - (round * 10)));
            await CountAsync(
                "before it is pending",
                await KillAtAsync("select 1 from ledger.farm for update", "ledger.advance")
            );
            Assert.True(await IsAsync($"not {Pending} and {IsBehind}"), "Nothing is known of the correction yet.");
            await CountAsync(
                "while shadow rows are written",
                await KillAtAsync(Phase.ShadowTiles, "insert into ledger.tile")
            );
            Assert.True(await IsAsync(Pending), "The old generation is read while the new one is made.");
            await CountAsync(
                "inside the switch",
                await KillAtAsync("select 1 from ledger.partition for update", "insert into ledger.partition")
            );
            Assert.True(
                await IsAsync($"{Pending} and {HasOrphanedRows}"),
                "Finished rows exist next to those that are read."
            );
            await CountAsync(
                "while old rows are deleted",
                await KillAtAsync(
                    """
                    select 1 from ledger.line join ledger.partition using (farm, season, applicator, generation)
                    for update of line
                    """,
                    "delete from ledger.line"
                )
            );
            Assert.True(
                await IsAsync($"not {Pending} and {HasOrphanedRows}"),
                "The new generation is read, the old one left."
            );

            await store.RecordAsync(Some.Farm, Some.Redrawn(-950_100_000 - (round * 10)));
            await using (var hub = Start())
            {
                await hub.ListeningAsync();
                await Task.Delay(random.Next(1500));
                await hub.KillAsync();
            }
            await CountAsync("at a random moment", await WhichAsync());
            await CompleteAsync(store);
        }
        foreach (var (what, count) in found)
            output.WriteLine($"{count} killed {what}");
        Assert.Equal(5 * Rounds, found.Values.Sum());

        async Task CountAsync(string phase, string read)
        {
            Assert.Empty((await store.AuditAsync()).Findings);
            var what = $"{phase}, {read}";
            found[what] = found.GetValueOrDefault(what) + 1;
        }
    }

    /// <summary>The next hub, undisturbed, posts what is wanted and leaves no other rows.</summary>
    private async Task CompleteAsync(PersistenceTestHost store)
    {
        await using var next = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await next.PostedAsync();
        await PersistenceTestHost.UntilAsync(() => IsAsync($"not {Pending} and not {HasOrphanedRows}"));
        var audit = await store.AuditAsync();
        Assert.Empty(audit.Findings);
        Assert.True(audit.Lines > 0 && audit.Tiles > 0);
    }

    /// <summary>
    /// Kills the hub while it waits in this SQL command for a lock held here. Returns the state of what is read then.
    /// </summary>
    private async Task<string> KillAtAsync(string hold, string command)
    {
        await using (var held = await Phase.HoldAsync(database.ConnectionString, hold))
        {
            await using var hub = Start();
            await PersistenceTestHost.UntilAsync(() =>
                database.ReadAsync<bool>(
                    $"""
                    select exists (select 1 from pg_stat_activity where datname = current_database()
                        and pid <> pg_backend_pid() and wait_event_type = 'Lock' and query like '%{command}%')
                    """
                )
            );
            await hub.KillAsync();
        }
        // The server notices a dead client only when its SQL command may continue. What it still did must be included.
        await PersistenceTestHost.UntilAsync(() =>
            database.ReadAsync<bool>(
                $"""
                select not exists (select 1 from pg_stat_activity where datname = current_database()
                    and pid <> pg_backend_pid() and query like '%{command}%' and state <> 'idle')
                """
            )
        );
        return await WhichAsync();
    }

    private HubProcess Start() =>
        HubProcess.Start("run", "--database", database.ConnectionString, "--http-port", "0", "--mqtt-port", "0");

    private Task<bool> IsAsync(string what) => database.ReadAsync<bool>($"select {what} from ledger.farm live");

    private Task<string> WhichAsync() =>
        database.ReadAsync<string>(
            $"""
            select case when {IsBehind} then 'correction not pending'
                when {Pending} then 'old generation read' else 'new generation read' end
                || case when {HasOrphanedRows} then ', orphaned rows' else '' end
            from ledger.farm live
            """
        );
}
