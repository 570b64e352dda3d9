using System.Text.Json;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;

namespace NutrientLedger.Integration.Tests.Hub.Commands;

/// <summary>
/// A farm's ledger is replayed and shown as it was, and its journal exported, by people and programs.
/// </summary>
public sealed class ReplayCommandTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    [DatabaseFact]
    public async Task A_replay_finds_every_row_the_same_and_leaves_no_rows_or_switches_over()
    {
        await using var store = await SeasonAsync("same");
        var before = await store.ReadAsync("same");

        var (code, output) = await RunAsync("replay", "same");
        Assert.True(code == 0, output);
        Assert.Contains("No differences.", output);
        Assert.Equal(1, await GenerationsAsync("same"));

        (code, output) = await RunAsync("replay", "same", "--switch", "--json");
        Assert.True(code == 0, output);
        var report = JsonDocument.Parse(output).RootElement;
        Assert.True(report.GetProperty("switched").GetBoolean());
        Assert.Equal(before.Lines.Count, report.GetProperty("lines").GetInt32());
        Assert.Equal(1, await GenerationsAsync("same"));
        Assert.Equal(2, await database.ReadAsync<int>("select generation from ledger.farm where farm = 'same'"));
        Assert.Empty((await store.AuditAsync("same")).Findings);
    }

    [DatabaseFact]
    public async Task A_replay_that_is_interrupted_leaves_no_rows_behind()
    {
        const string writes = """
            select exists (select 1 from pg_stat_activity where datname = current_database()
                and wait_event_type = 'Lock' and query like '%insert into ledger.tile%' and pid <> pg_backend_pid())
            """;
        await using var store = await SeasonAsync("stopped");
        await using var hub = await InterruptedAsync();
        Assert.NotEqual(0, await hub.EndAsync());
        Assert.Contains("was cancelled", hub.Output);
        Assert.Equal(1, await GenerationsAsync("stopped"));
        Assert.Equal(
            1,
            await database.ReadAsync<long>("select count(distinct generation) from ledger.tile where farm = 'stopped'")
        );
        Assert.Empty((await store.AuditAsync("stopped")).Findings);

        // The replay is stopped while it writes: the keys it wants to write are locked until it has given up.
        async Task<HubProcess> InterruptedAsync()
        {
            await using var held = await Phase.HoldAsync(database.ConnectionString, Phase.ShadowTiles);
            var replay = HubProcess.Start("replay", "stopped", "--database", database.ConnectionString);
            await PersistenceTestHost.UntilAsync(() => database.ReadAsync<bool>(writes));
            await replay.SignalAsync("INT");
            await PersistenceTestHost.UntilAsync(async () => !await database.ReadAsync<bool>(writes));
            return replay;
        }
    }

    [DatabaseFact]
    public async Task A_row_that_does_not_follow_from_the_journal_is_named()
    {
        await using var store = await SeasonAsync("broken");
        await database.RunAsync("update ledger.line set volume = volume + 1 where farm = 'broken' and field = 'home'");
        var (code, output) = await RunAsync("replay", "broken");
        Assert.Equal(1, code);
        Assert.Contains("only live", output);
        Assert.Contains("only rebuilt", output);
        Assert.Equal(1, await GenerationsAsync("broken"));
    }

    [DatabaseFact]
    public async Task A_replay_as_of_a_position_says_what_was_reported_then()
    {
        await using var store = await SeasonAsync("then");
        var position = await store.PostedAsync();
        var (_, before) = await RunAsync("replay", "then", "--as-of", $"{position}", "--json");
        await store.AppendAsync(Some.Message(401, 900, "then"));
        await store.PostedAsync();

        var (code, again) = await RunAsync("replay", "then", "--as-of", $"{position}", "--json");
        Assert.Equal(0, code);
        Assert.Equal(before, again);
        var field = JsonDocument.Parse(again).RootElement.GetProperty("fields")[0];
        Assert.Equal("home", field.GetProperty("field").GetString());
        var (_, table) = await RunAsync("replay", "then", "--as-of", "2999-01-01T00:00-06:00", "--metric");
        Assert.Contains("Home field", table);
    }

    [DatabaseFact]
    public async Task Unknown_farms_kinds_and_times_are_answered_in_plain_words()
    {
        await using var store = await SeasonAsync("known");
        Assert.Contains("Known: ", (await RunAsync("replay", "unknown")).Output);
        Assert.Contains("Known: ", (await RunAsync("export", "unknown")).Output);
        Assert.Contains("sensor_mounted", (await RunAsync("export", "known", "--kind", "sensor")).Output);
        foreach (var time in (string[])["soon", "2026-05-01", "2026-05-01T12:00"])
            Assert.Contains(
                "a time with its UTC offset",
                (await RunAsync("replay", "known", "--as-of", time)).Output.Replace('\n', ' ')
            );
    }

    [DatabaseFact]
    public async Task An_export_prints_every_event_as_one_line_of_json()
    {
        await using var store = await SeasonAsync("printed");
        var (code, all) = await RunAsync("export", "printed");
        Assert.Equal(0, code);
        Assert.Equal(Some.ConfigurationEvents().Count + 1, all.Split('\n').Length);
        Assert.All(all.Split('\n'), line => JsonDocument.Parse(line));

        var (_, mounted) = await RunAsync("export", "printed", "--kind", "source_changed");
        Assert.EndsWith(
            """
            "stream":"configuration","version":7,"kind":"source_changed","event":{"applicatorId":"spreader-1","pitId":"pit","validFrom":"2026-09-05T14:00:00+00:00"}}
            """,
            mounted
        );
        var (_, batches) = await RunAsync("export", "printed", "--kind", "spreading_measured");
        var readings = JsonDocument
            .Parse(batches)
            .RootElement.GetProperty("event")
            .GetProperty("batch")
            .GetProperty("readings");
        Assert.Equal(400, readings.GetArrayLength());
        Assert.Equal(
            """
            {"measuredAtMilliseconds":1791208801000,"latitudeE7":450000270,"longitudeE7":-950000000,"speedMillimetresPerSecond":3000,"widthMillimetres":9000,"engaged":true,"flowMillilitresPerSecond":30000,"totalMillilitres":30000,"dryMatterPartsPerMillion":60000,"totalNitrogenMilligramsPerLitre":4010,"ammoniumNitrogenMilligramsPerLitre":2500,"phosphorusMilligramsPerLitre":800,"potassiumMilligramsPerLitre":3000}
            """,
            readings[0].GetRawText()
        );
    }

    private async Task<PersistenceTestHost> SeasonAsync(string farm)
    {
        var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.RecordAsync(farm, Some.ConfigurationEvents());
        await store.AppendAsync(Some.Message(1, 400, farm));
        await store.PostedAsync();
        return store;
    }

    private Task<long> GenerationsAsync(string farm) =>
        database.ReadAsync<long>($"select count(distinct generation) from ledger.line where farm = '{farm}'");

    private async Task<(int Code, string Output)> RunAsync(params string[] arguments)
    {
        await using var hub = HubProcess.Start([.. arguments, "--database", database.ConnectionString]);
        var code = await hub.EndAsync();
        return (code, hub.Output.Trim());
    }
}
