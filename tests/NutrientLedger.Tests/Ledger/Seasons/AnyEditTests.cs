using NutrientLedger.Agronomy.Fields;
using NutrientLedger.Agronomy.Storage.Shapes;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Definitions;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Posting;
using NutrientLedger.Tests.Ledger.Configuration;

namespace NutrientLedger.Tests.Ledger.Seasons;

/// <summary>
/// Entries of a farm file are added, changed, withdrawn and added again, at random and after all readings. The ledger,
/// corrected at each step, and the configuration equal those of a fresh farm with the entries of the end.
/// </summary>
public class AnyEditTests
{
    private const string Third = "unregistered";
    private static readonly string[] Machines = [Some.DragLine, Some.Wagon, Third];
    private static readonly string[] Pits = [Some.Pit, "south-pit"];
    private static readonly DateTimeOffset Start = new(2026, 3, 8, 7, 30, 0, TimeSpan.Zero);
    private static readonly DateTimeOffset Recorded = new(2026, 3, 9, 12, 0, 0, TimeSpan.Zero);

    public static TheoryData<int> Seeds => [.. Enumerable.Range(1, 8)];

    [Theory]
    [MemberData(nameof(Seeds))]
    public void After_any_edits_farm_and_ledger_are_those_of_a_fresh_farm(int seed)
    {
        var random = new Random(seed);
        var season = new InventedSeason(seed);
        var batches = Arrivals.Shuffled(season, seed);
        IJournalEvent[] first = [season.ConfigurationEvents[0], .. season.Decisions];
        var (recorded, inFile) = (new List<IJournalEvent>(first), new Dictionary<EntryKey, IJournalEvent>());
        var ledger = new CorrectedLedger(Some.Configuration(first), Posted(first, batches));
        var keptSome = false;
        for (var import = 0; import < 15; import++)
        {
            IJournalEvent[] late = [.. Enumerable.Range(0, random.Next(1, 5)).Select(_ => Edit(random, inFile))];
            keptSome |= ledger.Correct(late, batches, Recorded);
            recorded.AddRange(late);
        }

        IJournalEvent[] final = [.. inFile.Values];
        random.Shuffle(final);
        IJournalEvent[] fresh = [.. first, .. final];
        Assert.True(keptSome, "A correction of everything would prove nothing.");
        Assert.Contains(recorded, @event => @event is EntryWithdrawn);
        Assert.Equal(
            ConfigurationAnswers.Of(Some.Configuration(fresh), Start, Recorded),
            ConfigurationAnswers.Of(Some.Configuration(recorded), Start, Recorded)
        );
        ledger.AssertIs(Posted(fresh, batches));
    }

    /// <summary>Withdraws an entry of the file, or adds one or changes the one with its key.</summary>
    private static IJournalEvent Edit(Random random, Dictionary<EntryKey, IJournalEvent> inFile)
    {
        if (inFile.Count > 8 && random.Next(3) == 0)
        {
            var key = inFile.Keys.ElementAt(random.Next(inFile.Count));
            inFile.Remove(key);
            return new EntryWithdrawn(key.Entry, key.Text, "A slip", "Ada Ash");
        }
        var entry = Entry(random);
        inFile[EventTypes.Of(entry).KeyOf(entry)!.Value] = entry;
        return entry;
    }

    // Each number of a sensor has moments of its own, so no two are mounted in one place at the same moment.
    private static IJournalEvent Entry(Random random) =>
        random.Next(9) switch
        {
            0 or 1 when random.Next(2, 5) is var sensor => Some.Mounted(
                Moment(random).AddMilliseconds(sensor),
                $"nir-{sensor}",
                Pick(random, Machines),
                Pick(random, SensorPlace.OnApplicator, SensorPlace.AtPump)
            ),
            2 => Some.Mounted(Moment(random), "radar", "level-1", SensorPlace.InPit, Pick(random, Pits)),
            3 => Some.Source(Pick(random, Pits), Moment(random), Pick(random, Machines)),
            4 => new ReadingLimitsSet(
                Pick(random, null, Some.DragLine, Third),
                Moment(random),
                [new(LimitedQuantity.Width, random.Next(6_000, 11_000), null, "invented")]
            ),
            5 when random.Next(2) == 0 => new BoundaryRedrawn(
                Pick(random, Some.West, Some.East),
                Ground(random),
                new(2026, 3, Pick(random, 6, 10)),
                "Hedge moved"
            ),
            5 => Some.Field(Pick(random, Some.West, Some.East, "a-corner"), Ground(random), Day(random)),
            6 => Some.Zone(Pick(random, "well", "ditch"), Ground(random)) with { ValidFrom = Day(random) },
            7 when random.Next(2) == 0 => Some.PitOf(new RoundTank(random.Next(9_000, 30_000), 4_000)),
            _ => Some.Applicator(
                Pick(random, Machines),
                Pick(random, MeterCounts.Spreading, MeterCounts.Filling),
                Pick<long?>(random, null, InventedSeason.Modulus)
            ),
        };

    private static DateTimeOffset Moment(Random random) => Start.AddMinutes(30 * random.Next(4));

    private static DateOnly Day(Random random) => new(2026, 3, random.Next(7, 10));

    private static Boundary Ground(Random random) =>
        Some.Square(4_000 * random.Next(6), 4_000 * random.Next(-2, 3), 4_000 * random.Next(2, 6));

    private static T Pick<T>(Random random, params T[] choices) => choices[random.Next(choices.Length)];

    private static LedgerAddition Posted(IEnumerable<IJournalEvent> configuration, IEnumerable<IJournalEvent> batches)
    {
        var (accumulator, under) = (new LedgerAccumulator(), Some.Configuration(configuration));
        foreach (var batch in batches)
            accumulator.Post(batch, Recorded, under);
        return accumulator.TakeAll();
    }
}
