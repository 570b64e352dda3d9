using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Ledger.Readings;
using NutrientLedger.Web.Contracts.Storage;

namespace NutrientLedger.Integration.Tests.Demo;

/// <summary>The demo command, run as a process: the whole recorded season through MQTT into the ledger.</summary>
public sealed class DemoOnceTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    [DatabaseFact]
    public async Task The_season_played_at_once_agrees_with_the_recomputation_and_the_truth_and_again_changes_nothing()
    {
        var printed = await PlayAsync();
        Assert.Contains("Larch Hollow Farm: spread and remaining by field", printed, StringComparison.Ordinal);
        Assert.DoesNotContain("outside │", printed, StringComparison.Ordinal);
        Assert.Contains(
            "Knoll Ell, season 2026: N left is available N by factor set minnesota",
            printed,
            StringComparison.Ordinal
        );

        await using var posted = new PostedLedger(database.ConnectionString);
        var first = await posted.ReadAsync();
        ExpectedSeason.AssertSame(first);
        ExpectedSeason.AssertSame(await posted.DevicesAsync());
        await AssertFoundAsync(posted);

        await AssertFaultyDaysAreNamedAsync(posted);
        Assert.Contains("look for a leak", printed, StringComparison.Ordinal);
        Assert.Contains("one day has a meter error", printed, StringComparison.Ordinal);
        AssertCorrected(printed);

        // Another device with no memory sends the whole season a second time. What a person changed meanwhile stays.
        var changed = await ChangedPlanAsync();
        await PlayAsync();
        Assert.Equal(changed, await PlanAsync());
        var second = await posted.ReadAsync();
        Assert.Equal(first.Lines, second.Lines);
        ExpectedSeason.AssertSame(second);
        Assert.Empty((await posted.AuditAsync()).Findings);
    }

    /// <summary>
    /// The sensor misread three fields of late autumn until the calibrations from the laboratory were adopted; then
    /// none.
    /// </summary>
    private static void AssertCorrected(string printed)
    {
        var after = printed.IndexOf("Corrected by the laboratory and measured", StringComparison.Ordinal);
        Assert.True(after > 0, printed);
        Assert.Equal(3, printed[..after].Split("misread │").Length - 1);
        Assert.DoesNotContain("misread", printed[after..], StringComparison.Ordinal);
        Assert.Contains("Adopted by J. Larch", printed[..after], StringComparison.Ordinal);
        Assert.Contains(
            "from 2025-10-28 00:00 -05:00 to 2026-03-30 00:00 -05:00.",
            printed[..after].ReplaceLineEndings(" "),
            StringComparison.Ordinal
        );
    }

    /// <summary>
    /// The generator fouls the window for 120 s from 08:41 on 2026-05-06 (season.py). No other day gives a false
    /// finding.
    /// </summary>
    private static async Task AssertFoundAsync(PostedLedger posted)
    {
        var found = Assert.Single(await posted.FindingsAsync());
        Assert.Equal(
            (FindingKind.Spike, "totalNitrogen", "drag-line"),
            (found.Kind, found.Measured, found.EquipmentId)
        );
        Assert.Equal(120, found.LastSeq - found.FirstSeq + 1);
        var begins = new DateTimeOffset(2026, 5, 6, 8, 41, 0, TimeSpan.FromHours(-5)).ToUnixTimeMilliseconds();
        Assert.InRange(found.FromMilliseconds, begins, begins + 1000);
    }

    /// <summary>The simulation's truth lists three faults between pit and field; all nine other days close.</summary>
    private static async Task AssertFaultyDaysAreNamedAsync(PostedLedger posted)
    {
        ReconciledDayResponse[] days =
        [
            .. await posted.DrawnDaysAsync("north-basin"),
            .. await posted.DrawnDaysAsync("round-tank"),
        ];
        Assert.Equal(12, days.Length);
        var open = days.Where(day => day.Verdict != "closes").ToDictionary(day => day.Day);
        Assert.Equal([new(2026, 4, 22), new(2026, 6, 16), new(2026, 7, 21)], open.Keys.Order());
        Assert.All(open.Values, day => Assert.Equal("doesNotClose", day.Verdict));
        Assert.EndsWith("look for a leak.", open[new(2026, 4, 22)].Finding, StringComparison.Ordinal);
        Assert.Matches(@"^the flow meter of tank-wagon says [78]\.\d % more", open[new(2026, 6, 16)].Finding);
        Assert.Matches(@"^the level sensor says \d+\.\d % less", open[new(2026, 7, 21)].Finding);
        // 117 m³ leaked; one standard deviation of a day's sum in the basin is about 20 m³.
        Assert.InRange(open[new(2026, 4, 22)].UnexplainedCubicMetres!.Value, 77, 157);
    }

    /// <summary>Sets another plan for a field, and returns it.</summary>
    private async Task<NutrientPlanSet?> ChangedPlanAsync()
    {
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString, false);
        var plan = (await PlanAsync())! with { NitrogenGramsPerHectare = 120_000 };
        await store.RecordAsync(PostedLedger.Farm, plan);
        return plan;
    }

    private async Task<NutrientPlanSet?> PlanAsync()
    {
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString, false);
        var at = await store.Configurations.ReadAsync(PostedLedger.Farm, asOf: null, CancellationToken.None);
        return at.Configuration.Plan("home-flat", 2026);
    }

    private async Task<string> PlayAsync()
    {
        var folder = Directory.CreateTempSubdirectory("nutrient-ledger-once-").FullName;
        try
        {
            await using var hub = HubProcess.PlayOnce(folder, database.ConnectionString);
            var exit = await hub.EndAsync();
            Assert.True(exit == 0, hub.Output);
            return hub.Output;
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }
}
