using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Fixtures;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Persistence.Messages;
using static NutrientLedger.Integration.Tests.Persistence.Rebuild.CorrectingEvents;

namespace NutrientLedger.Integration.Tests.Persistence.Rebuild;

/// <summary>
/// A correction reads only the batches of the partitions it concerns, and leaves the same ledger as a posting of
/// everything. One applicator works at home, one far off, a third on both fields over the tracks of the others.
/// </summary>
public sealed class PartitionCorrectionTests(TestDatabase database) : IClassFixture<TestDatabase>
{
    private const string FarApplicator = "spreader-2";
    private const string Both = "spreader-3";

    /// <summary>Batches in the journal. The counts differ, so that a sum shows whose batches were read.</summary>
    private const int Home = 1;
    private const int Far = 2;
    private const int OnBoth = 4;
    private const int Level = 8;
    private const int FarE7 = 10_000_000;

    private static readonly DateTimeOffset Before = Some.Morning.AddDays(-1);

    /// <summary>Corrections and the number of batches to read for each.</summary>
    private static readonly (int Batches, IJournalEvent[] Events)[] Corrections =
    [
        (
            Far + OnBoth,
            [new BoundaryRedrawn("far", Square(451_000_000, FarE7 + 500), new(2026, 1, 1), "measured again")]
        ),
        (Home, [new SensorMounted("sensor-9", Some.Applicator, SensorPlace.OnApplicator, Some.Applicator, Before)]),
        (Far, [new SourceChanged(FarApplicator, "pond", Before)]),
        (Home, [new ReadingLimitsSet(Some.Applicator, Before, [Limit(4_020)])]),
        (Home + Far + OnBoth, [new ReadingLimitsSet(null, Before, [Limit(4_030)])]),
        (Far, [Void("c", FarApplicator, TelemetryStream.Spread, VoidedPart.Composition)]),
        (Far, [new VoidWithdrawn("c", "It was right", "Ada Ash")]),
        (Home, [Void("w", Some.Applicator, TelemetryStream.Spread, VoidedPart.Reading)]),
        (Home, [new VoidWithdrawn("w", "It was right", "Ada Ash")]),
        (Far, [Decided(FarApplicator, TelemetryStream.Spread)]),
        (Far, [Wider(FarApplicator)]),
        (Level, [new SensorMounted("level-2", Some.Gauge, SensorPlace.InPit, "pond", Before)]),
        (Level, [Void("l", Some.Gauge, TelemetryStream.Store, VoidedPart.Level)]),
        (Level, [Decided(Some.Gauge, TelemetryStream.Store)]),
        (
            Home + Level,
            [
                Void("m", Some.Gauge, TelemetryStream.Store, VoidedPart.Level),
                new SourceChanged(Some.Applicator, "pond", Before),
            ]
        ),
        // All of an applicator's work, then all of it again. It has no lines by then.
        (OnBoth, [Void("b", Both, TelemetryStream.Spread, VoidedPart.Reading, lastSeq: 400)]),
        (OnBoth, [new VoidWithdrawn("b", "It was right", "Ada Ash")]),
        // A field between the two others. It overlaps none of their boxes, and the third applicator was not placed
        // there either.
        (0, [new FieldRegistered("between", "Between", Square(451_000_000, FarE7 / 2), new(2026, 1, 1))]),
        (
            Home + Far + OnBoth + Level,
            [new FarmRegistered("Alder Bank", "America/Denver", 10, 1, new(2026, 1, 1), new(90, 128))]
        ),
    ];

    [DatabaseFact]
    public async Task A_correction_reads_only_its_affected_scope_and_equals_a_full_posting()
    {
        await using var store = await WorkedAsync();
        var read = 0L;
        using var listener = CorrectedStore.Listen(store, batches => read = batches);
        foreach (var (batches, events) in Corrections)
        {
            await store.RecordAsync(Some.Farm, events);
            await CorrectedStore.AssertReplayedAsync(store);
            Assert.True(batches == read, $"{read} batches were read for {events[0]}, {batches} expected");
        }
        await AssertAuditedAsync(store, Corrections.Sum(correction => correction.Events.Length));
    }

    [DatabaseFact]
    public async Task Readings_that_arrive_during_a_correction_are_in_its_ledger()
    {
        await using var store = await WorkedAsync();
        await using (await ShadowTilesHeldAsync(store, new SourceChanged(Some.Applicator, "pond", Before)))
            await PostAsync(
                store,
                Some.Message(401, 500),
                Elsewhere(FarApplicator, 601, 700),
                Elsewhere(Both, 601, 700)
            );
        await CorrectedStore.AssertReplayedAsync(store);
        await AssertAuditedAsync(store, statements: 1);
    }

    /// <summary>
    /// Then its work there is posted under the old boundary, and must be posted again with the others.
    /// </summary>
    [DatabaseFact]
    public async Task An_applicator_that_begins_in_a_field_while_its_boundary_is_corrected_is_corrected_too()
    {
        await using var store = await WorkedAsync();
        var redrawn = new BoundaryRedrawn("far", Square(450_050_000, FarE7), new(2026, 1, 1), "measured again");
        await using (await ShadowTilesHeldAsync(store, redrawn))
            await PostAsync(store, Elsewhere(Some.Applicator, 401, 600));
        await CorrectedStore.AssertReplayedAsync(store);
        await AssertAuditedAsync(store, statements: 1);
    }

    /// <summary>Records a correction and stops its posting where it writes tiles.</summary>
    private async Task<IAsyncDisposable> ShadowTilesHeldAsync(PersistenceTestHost store, IJournalEvent correction)
    {
        var held = await Phase.HoldAsync(database.ConnectionString, Phase.ShadowTiles);
        await store.RecordAsync(Some.Farm, correction);
        await PersistenceTestHost.UntilAsync(() =>
            database.ReadAsync<bool>(
                """
                select exists (select 1 from pg_stat_activity where datname = current_database()
                    and wait_event_type = 'Lock' and query like '%insert into ledger.tile%' and pid <> pg_backend_pid())
                """
            )
        );
        return held;
    }

    /// <summary>Appends messages and waits until they are posted beside the correction, which is not done.</summary>
    private async Task PostAsync(PersistenceTestHost store, params DecodedMessage[] messages)
    {
        await store.AppendAsync(messages);
        var (journal, _) = await store.Devices.PositionsAsync(CancellationToken.None);
        await PersistenceTestHost.UntilAsync(() =>
            database.ReadAsync<bool>($"select position >= {journal} from ledger.farm")
        );
        Assert.True((await store.ReadAsync()).IsBeingCorrected);
    }

    /// <summary>Applicators that worked and a pit with levels, all posted.</summary>
    private async Task<PersistenceTestHost> WorkedAsync()
    {
        await database.EmptyAsync();
        var store = await PersistenceTestHost.StartAsync(database.ConnectionString);
        IJournalEvent[] machines = [.. Some.ConfigurationEvents().OfType<ApplicatorRegistered>()];
        await store.RecordAsync(
            Some.Farm,
            [
                .. Some.ConfigurationEvents(),
                new FieldRegistered("far", "Far field", Square(451_000_000, FarE7), new(2026, 1, 1)),
                .. machines
                    .OfType<ApplicatorRegistered>()
                    .Select(machine => machine with { ApplicatorId = FarApplicator }),
                .. machines.OfType<ApplicatorRegistered>().Select(machine => machine with { ApplicatorId = Both }),
                new SensorMounted(
                    "sensor-2",
                    FarApplicator,
                    SensorPlace.OnApplicator,
                    FarApplicator,
                    Some.Morning.AddDays(-30)
                ),
            ]
        );
        await store.AppendAsync(Some.Message(1, 400));
        for (var batch = 0; batch < Far; batch++)
            await store.AppendAsync(Elsewhere(FarApplicator, (batch * 200) + 1, (batch + 1) * 200));
        for (var batch = 0; batch < OnBoth; batch++)
            await store.AppendAsync(Elsewhere(Both, (batch * 100) + 1, (batch + 1) * 100));
        for (var batch = 0; batch < Level; batch++)
            await store.AppendAsync(Some.LevelMessage((batch * 20) + 1, (batch + 1) * 20));
        await store.PostedAsync();
        return store;
    }

    /// <summary>
    /// Waits until the statements are made too, which are also posted from the affected scope. Compares them with
    /// postings of everything.
    /// </summary>
    private async Task AssertAuditedAsync(PersistenceTestHost store, int statements)
    {
        await PersistenceTestHost.UntilAsync(async () =>
            await database.ReadAsync<long>("select count(*) from ledger.statement") == statements
        );
        var audit = await store.AuditAsync();
        Assert.Empty(audit.Findings);
        Assert.Equal(statements, audit.Statements);
    }

    /// <summary>
    /// Messages of the far applicator from the far field; those of the third from home and, from its hundredth reading
    /// on, from the far field.
    /// </summary>
    private static DecodedMessage Elsewhere(string machine, long first, long last) =>
        Some.Message(first, last, equipment: machine) with
        {
            Event = new SpreadingMeasured(
                new(
                    machine,
                    1,
                    first,
                    [
                        .. Some.Numbers(first, last)
                            .Select(Some.Reading)
                            .Select(
                                (reading, i) =>
                                    machine == Both && first + i < 100
                                        ? reading
                                        : reading with
                                        {
                                            LongitudeE7 = reading.LongitudeE7 + FarE7 + (machine == Both ? 300 : 0),
                                        }
                            ),
                    ]
                )
            ),
        };
}
