using Microsoft.Extensions.Diagnostics.HealthChecks;
using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Readings;

namespace NutrientLedger.Integration.Tests.Persistence.Rebuild;

/// <summary>What one farm's correction does to others.</summary>
public sealed class CorrectionIsolationTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    /// <summary>The oldest correction is tried first.</summary>
    private const string First = "aa-first";

    [DatabaseFact]
    public async Task A_correction_that_fails_is_reported_and_keeps_no_other_farm_waiting()
    {
        await using var store = await WorkedAsync(First, Some.Farm);
        await database.RunAsync(
            $"""
            create function refuse() returns trigger language plpgsql as $$ begin raise 'this farm is broken'; end $$;
            create trigger refuse before insert on ledger.line for each row
                when (new.farm = '{First}' and new.generation > 1) execute function refuse();
            """
        );

        await store.RecordAsync(First, Some.Redrawn(-949_999_500));
        await PersistenceTestHost.UntilAsync(async () =>
            (await store.HealthAsync()) is { Status: HealthStatus.Unhealthy, Entries: var parts }
            && parts["store"].Description!.Contains("this farm is broken", StringComparison.Ordinal)
        );
        await store.RecordAsync(Some.Farm, Some.Redrawn(-949_999_500));
        await PersistenceTestHost.UntilAsync(async () => !(await store.ReadAsync(Some.Farm)).IsBeingCorrected);
        Assert.True((await store.ReadAsync(First)).IsBeingCorrected);

        await database.RunAsync("drop trigger refuse on ledger.line; drop function refuse()");
        await store.PostedAsync();
        await PersistenceTestHost.UntilAsync(async () => (await store.HealthAsync()).Status == HealthStatus.Healthy);
        Assert.Empty((await store.AuditAsync(First)).Findings);
    }

    /// <summary>An answer from before posting has seen the correction must not pass for a corrected one.</summary>
    [DatabaseFact]
    public async Task An_answer_right_after_a_correction_says_that_it_is_being_posted()
    {
        await (await WorkedAsync(Some.Farm)).DisposeAsync();
        await using (var idle = await PersistenceTestHost.StartAsync(database.ConnectionString, false))
        {
            Assert.False((await idle.ReadAsync()).IsBeingCorrected);
            await idle.RecordAsync(Some.Farm, Some.Redrawn(-949_999_500));
            Assert.True((await idle.ReadAsync()).IsBeingCorrected);
        }
        await using var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.PostedAsync();
        Assert.False((await store.ReadAsync()).IsBeingCorrected);
    }

    /// <summary>Each shift is another time at which batches of a season may have been sent.</summary>
    [DatabaseFact]
    public async Task A_clock_shifted_many_times_by_different_amounts_is_corrected_like_any_other()
    {
        await using var store = await WorkedAsync(Some.Farm);
        const long Year = 31_557_600_000;
        await store.RecordAsync(
            Some.Farm,
            [
                .. Enumerable
                    .Range(-33, 120)
                    .Where(years => years != 0)
                    .Select(years => new QuestionableTimeDecided(
                        Some.Applicator,
                        TelemetryStream.Spread,
                        1,
                        70 + years,
                        70 + years,
                        TimeDecision.Shifted,
                        years * Year,
                        "Its clock",
                        "Ada Ash"
                    )),
            ]
        );
        await store.PostedAsync();
        await store.RecordAsync(
            Some.Farm,
            new ReadingsVoided(
                "v",
                Some.Applicator,
                TelemetryStream.Spread,
                1,
                300,
                310,
                VoidedPart.Reading,
                "Air",
                "Ada Ash"
            )
        );
        await CorrectedStore.AssertReplayedAsync(store);
    }

    private async Task<PersistenceTestHost> WorkedAsync(params string[] farms)
    {
        await database.EmptyAsync();
        var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        foreach (var farm in farms)
        {
            await store.RecordAsync(farm, Some.ConfigurationEvents());
            await store.AppendAsync(Some.Message(1, 400, farm));
        }
        await store.AppendAsync(Some.LevelMessage(1, 20));
        await store.PostedAsync();
        return store;
    }
}
