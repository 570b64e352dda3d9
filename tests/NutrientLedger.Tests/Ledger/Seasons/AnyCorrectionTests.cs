using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Posting;

namespace NutrientLedger.Tests.Ledger.Seasons;

/// <summary>
/// Posting again the partitions that a correction names, and keeping the rest, equals posting everything under the new
/// configuration. Four applicators work over and across fields and no-spread zones that overlap, move and are added. In
/// half of the seasons the crop year changes amid the work.
/// </summary>
public class AnyCorrectionTests
{
    private const string Third = "unregistered";
    private const string North = "north";

    private static readonly DateTimeOffset Recorded = new(2026, 3, 9, 12, 0, 0, TimeSpan.Zero);

    public static TheoryData<int> Seeds => [.. Enumerable.Range(1, 8)];

    /// <summary>Each of a season's configuration events once recorded last, after all readings.</summary>
    [Theory]
    [MemberData(nameof(Seeds))]
    public void Posting_what_one_event_affects_is_posting_everything(int seed)
    {
        var season = new InventedSeason(seed);
        var batches = Arrivals.Shuffled(season, seed);
        var events = EventsOf(season);
        var kept = new HashSet<Type>();
        for (var last = 0; last < events.Length; last++)
            if (Correct([.. events[..last], .. events[(last + 1)..]], [events[last]], batches))
                kept.Add(events[last].GetType());

        // None of these affects all applicators here. A farm registered again affects everything.
        Assert.Superset(
            new HashSet<Type> { typeof(SensorMounted), typeof(SourceChanged), typeof(ReadingsVoided) },
            kept
        );
        Assert.DoesNotContain(typeof(FarmRegistered), kept);
    }

    [Theory]
    [MemberData(nameof(Seeds))]
    public void Posting_what_several_events_affect_is_posting_everything(int seed)
    {
        var random = new Random(seed);
        var season = new InventedSeason(seed);
        var batches = Arrivals.Shuffled(season, seed);
        for (var way = 0; way < 12; way++)
        {
            var events = EventsOf(season)[1..];
            random.Shuffle(events);
            var late = random.Next(2, 6);
            Correct([EventsOf(season)[0], .. events[late..]], events[..late], batches);
        }
    }

    /// <summary>Two events that each affect little, of applicators that cross each other in the same fields.</summary>
    [Theory]
    [MemberData(nameof(Seeds))]
    public void A_ledger_corrected_again_and_again_is_still_the_posting_of_everything(int seed)
    {
        var random = new Random(seed);
        var season = new InventedSeason(seed);
        var batches = Arrivals.Shuffled(season, seed);
        var events = EventsOf(season)[1..];
        random.Shuffle(events);
        var recorded = new List<IJournalEvent> { EventsOf(season)[0] };
        var ledger = new CorrectedLedger(Some.Configuration(recorded));
        foreach (var late in events.Chunk(4))
        {
            ledger.Correct(late, batches, Recorded);
            recorded.AddRange(late);
        }
        ledger.AssertIs(Posted(recorded, batches));
    }

    /// <summary>Whether anything was kept.</summary>
    private static bool Correct(IJournalEvent[] before, IJournalEvent[] late, IJournalEvent[] batches)
    {
        var ledger = new CorrectedLedger(Some.Configuration(before), Posted(before, batches));
        var kept = ledger.Correct(late, batches, Recorded);
        ledger.AssertIs(Posted([.. before, .. late], batches));
        return kept;
    }

    private static LedgerAddition Posted(IEnumerable<IJournalEvent> configuration, IEnumerable<IJournalEvent> batches)
    {
        var (accumulator, under) = (new LedgerAccumulator(), Some.Configuration(configuration));
        foreach (var batch in batches)
            accumulator.Post(batch, Recorded, under);
        return accumulator.TakeAll();
    }

    /// <summary>
    /// The season's configuration and decisions, and events that make applicators and fields overlap.
    /// </summary>
    private static IJournalEvent[] EventsOf(InventedSeason season) =>
        [
            InTwoCropYears(season),
            .. season.ConfigurationEvents[1..],
            Some.Applicator(Third),
            Some.Applicator(Some.Wagon),
            Some.Mounted(sensor: "nir-4", equipment: Third),
            new SensorMounted(
                "nir-5",
                Some.Wagon,
                SensorPlace.AtPump,
                Some.Wagon,
                Some.Morning.AddDays(-300),
                30_000_000
            ),
            Some.Source(applicator: Third, from: Some.Morning.AddDays(-300)),
            new ReadingLimitsSet(
                Third,
                Some.Morning.AddDays(-300),
                [new(LimitedQuantity.Width, 9_000, null, "invented")]
            ),
            // Touches the western field in the north, overlaps a corner of the eastern one and takes precedence there.
            Some.Field("a-corner", Some.Square(eastE7: 35_000, northE7: 12_000), new(2026, 1, 1)),
            Some.Field(North, Some.Square(northE7: 20_000), new(2026, 1, 1)),
            new BoundaryRedrawn(Some.East, Some.Square(15_000, -3_000), new(2026, 1, 1), "Measured again"),
            new BoundaryRedrawn(North, Some.Square(2_000, 18_000, 9_000), new(2026, 3, 8), "Half of it sold"),
            // Zones beyond all fields and across them, and one of them again elsewhere for a day. Where the crop year
            // changes, that day is in the next season. Only the earlier registration leads to the season before.
            Some.Zone("spring", Some.Square(-60_000, -60_000, 58_000)),
            Some.Zone("ditch", Some.Square(15_000, 5_000, 10_000)),
            Some.Zone("well", Some.Square(-2_000, 10_000, 6_000)) with
            {
                ValidFrom = new(2026, 3, 9),
            },
            Some.Zone("ditch", Some.Square(30_000, 15_000, 12_000)) with
            {
                ValidFrom = new(2026, 3, 9),
                ValidTo = new(2026, 3, 10),
            },
            .. season.Decisions,
        ];

    /// <summary>The farm, whose crop year begins on the second day of the work where the seed is even.</summary>
    private static FarmRegistered InTwoCropYears(InventedSeason season)
    {
        var farm = (FarmRegistered)season.ConfigurationEvents[0];
        return season.Seed % 2 == 0 ? farm with { SeasonFirstMonth = 3, SeasonFirstDay = 9 } : farm;
    }
}
