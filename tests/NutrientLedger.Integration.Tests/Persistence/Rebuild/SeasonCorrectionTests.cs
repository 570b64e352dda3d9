using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Persistence.Messages;

namespace NutrientLedger.Integration.Tests.Persistence.Rebuild;

/// <summary>
/// A correction reads the batches of the seasons it concerns. One applicator worked in two seasons of a crop year that
/// begins in October, and each season has a number of batches of its own.
/// </summary>
public sealed class SeasonCorrectionTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    private const int Earlier = 3;
    private const int Later = 5;
    private const long Sixty = 60;

    private static readonly TimeSpan Between = TimeSpan.FromDays(60);
    private static readonly DateTimeOffset LaterDay = Some.Morning.AddDays(-1);

    /// <summary>Corrections, one after another, and the number of batches to read for each.</summary>
    private static readonly (int Batches, IJournalEvent Event)[] Corrections =
    [
        (Later, new SourceChanged(Some.Applicator, "pond", LaterDay)),
        (Earlier + Later, new SourceChanged(Some.Applicator, "pond", LaterDay - Between)),
        (Earlier, Void("e", boot: 1)),
        (Later, Void("l", boot: 2)),
        (Earlier, new VoidWithdrawn("e", "It was right", "Ada Ash")),
        (Later, Some.Redrawn(-949_999_500) with { ValidFrom = new(2026, 10, 2) }),
        (Earlier + Later, Some.Redrawn(-950_100_000) with { ValidFrom = new(2026, 2, 1) }),
        // Two batches of the later season and their neighbours now count in the earlier one.
        (Earlier + Later, Shifted(boot: 2, -(long)Between.TotalMilliseconds)),
        // So the earlier season needs them, wherever their own times lie.
        (Earlier + Later, Void("e2", boot: 1)),
        (Later, new ReadingLimitsSet(Some.Applicator, LaterDay, [CorrectingEvents.Limit(4_010)])),
        (Earlier + Later, Shifted(boot: 2, 0)),
        (Earlier, Void("e3", boot: 1)),
        // The crop year begins between the two again, but elsewhere. Then the batch of levels is read too.
        (
            Earlier + Later + 1,
            new FarmRegistered("Alder Bank", "America/Chicago", 9, 1, new(2026, 1, 1), new(90, 128))
        ),
        (Later, new SourceChanged(Some.Applicator, "pit", Some.Morning.AddDays(-20))),
    ];

    [DatabaseFact]
    public async Task A_correction_reads_only_the_seasons_it_concerns_and_equals_a_full_posting()
    {
        await using var store = await WorkedAsync();
        var read = 0L;
        using var listener = CorrectedStore.Listen(store, batches => read = batches);
        foreach (var (batches, @event) in Corrections)
        {
            await store.RecordAsync(Some.Farm, @event);
            await CorrectedStore.AssertReplayedAsync(store);
            Assert.True(batches == read, $"{read} batches were read for {@event}, {batches} expected");
        }
        await PersistenceTestHost.UntilAsync(async () =>
            await database.ReadAsync<long>("select count(*) from ledger.statement") == Corrections.Length
        );
        // The proof posts everything for each statement.
        Assert.Empty((await store.AuditAsync()).Findings);
    }

    private async Task<PersistenceTestHost> WorkedAsync()
    {
        await database.EmptyAsync();
        var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        await store.RecordAsync(Some.Farm, Some.ConfigurationEvents());
        for (var batch = 0; batch < Earlier; batch++)
            await store.AppendAsync(Sixtieth(batch, boot: 1, -Between));
        for (var batch = 0; batch < Later; batch++)
            await store.AppendAsync(Sixtieth(batch, boot: 2, TimeSpan.Zero));
        await store.AppendAsync(Some.LevelMessage(1, 20));
        await store.PostedAsync();
        return store;
    }

    /// <summary>Sixty readings in a row.</summary>
    private static DecodedMessage Sixtieth(int batch, long boot, TimeSpan later)
    {
        var first = (batch * Sixty) + 1;
        var readings = Some.Numbers(first, first + Sixty - 1)
            .Select(Some.Reading)
            .Select(reading =>
                reading with
                {
                    MeasuredAtMilliseconds = reading.MeasuredAtMilliseconds + (long)later.TotalMilliseconds,
                }
            );
        return Some.Message(first, first + Sixty - 1) with
        {
            Event = new SpreadingMeasured(new(Some.Applicator, boot, first, [.. readings])),
        };
    }

    private static ReadingsVoided Void(string id, long boot) =>
        new(id, Some.Applicator, TelemetryStream.Spread, boot, 30, 40, VoidedPart.Reading, "Air", "Ada Ash");

    private static QuestionableTimeDecided Shifted(long boot, long milliseconds) =>
        new(
            Some.Applicator,
            TelemetryStream.Spread,
            boot,
            100,
            130,
            milliseconds == 0 ? TimeDecision.AsMeasured : TimeDecision.Shifted,
            milliseconds,
            "Its clock",
            "Ada Ash"
        );
}
