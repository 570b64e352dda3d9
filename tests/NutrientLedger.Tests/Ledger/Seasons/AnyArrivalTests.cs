using NutrientLedger.Agronomy;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Posting;

namespace NutrientLedger.Tests.Ledger.Seasons;

public class AnyArrivalTests
{
    /// <summary>
    /// A day after the work began. Readings with clocks twice ahead, or behind, then have a questionable time.
    /// </summary>
    private static readonly DateTimeOffset Recorded = new(2026, 3, 9, 12, 0, 0, TimeSpan.Zero);

    public static TheoryData<int> Seeds => [.. Enumerable.Range(1, 24)];

    [Theory]
    [MemberData(nameof(Seeds))]
    public void The_same_readings_give_the_same_ledger_however_they_arrive(int seed)
    {
        var season = new InventedSeason(seed);
        var expected = Posted(season, Arrivals.InOrder(season));
        Assert.NotEmpty(expected.Tiles);
        Assert.NotEmpty(expected.Levels);

        for (var way = 0; way < 4; way++)
            SameLedger.Assert(expected, Posted(season, Arrivals.Shuffled(season, seed * 100 + way)));
    }

    [Theory]
    [MemberData(nameof(Seeds))]
    public void Accumulators_posted_separately_add_up_in_any_order_as_their_stored_rows_do(int seed)
    {
        var season = new InventedSeason(seed);
        var parts = Arrivals.Shuffled(season, seed).Chunk(17).Select(chunk => Posted(season, chunk)).ToArray();
        new Random(seed).Shuffle(parts);

        SameLedger.Assert(Posted(season, Arrivals.InOrder(season)), LedgerAddition.Together(parts));
    }

    [Theory]
    [MemberData(nameof(Seeds))]
    public void Events_read_back_from_their_stored_bytes_give_the_same_ledger(int seed)
    {
        var season = new InventedSeason(seed);
        var events = Arrivals.Shuffled(season, seed);

        var stored = events.Select(@event => EventCodec.Decode(EventTypes.NameOf(@event), EventCodec.Encode(@event)));

        SameLedger.Assert(Posted(season, events), Posted(season, stored));
    }

    /// <summary>
    /// As a hub does it: posting under the final decisions gives the same ledger, wherever they stand between the
    /// batches.
    /// </summary>
    [Theory]
    [MemberData(nameof(Seeds))]
    public void Decisions_about_readings_count_the_same_at_any_place_in_the_journal(int seed)
    {
        var season = new InventedSeason(seed);
        IJournalEvent[] decided = [.. season.ConfigurationEvents, .. season.Decisions];
        var expected = Posted(Arrivals.InOrder(season), Some.Configuration(decided));
        Assert.NotEqual(
            SameLedger.Sorted(Posted(season, Arrivals.InOrder(season)).Lines),
            SameLedger.Sorted(expected.Lines)
        );

        for (var way = 0; way < 3; way++)
        {
            var random = new Random(seed * 100 + way);
            var journal = Arrivals.Shuffled(season, seed * 100 + way).ToList();
            var shuffled = season.Decisions.ToArray();
            random.Shuffle(shuffled);
            foreach (var decision in shuffled)
                journal.Insert(random.Next(journal.Count + 1), decision);
            var configuration = Some.Configuration([
                .. season.ConfigurationEvents,
                .. journal.Where(@event => !EventTypes.Of(@event).IsBatch),
            ]);

            SameLedger.Assert(expected, Posted(journal, configuration));
        }
    }

    /// <summary>
    /// The order of configuration events matters only among those for the same moment. A season has none of these.
    /// </summary>
    [Theory]
    [MemberData(nameof(Seeds))]
    public void Configuration_events_recorded_in_another_order_give_the_same_ledger(int seed)
    {
        var season = new InventedSeason(seed);
        var shuffled = season.ConfigurationEvents.ToArray();
        new Random(seed).Shuffle(shuffled);
        var events = Arrivals.InOrder(season);

        SameLedger.Assert(Posted(season, events), Posted(events, Some.Configuration(shuffled)));
    }

    [Theory]
    [MemberData(nameof(Seeds))]
    public void Every_millilitre_metered_is_spread_disengaged_or_not_placed(int seed)
    {
        var season = new InventedSeason(seed);
        var configuration = Some.Configuration(season.ConfigurationEvents);
        var accumulator = Posted(season, Arrivals.Shuffled(season, seed));

        foreach (var applicator in configuration.Applicators)
        {
            long metered = 0;
            long unknown = 0;
            foreach (var (a, b) in season.Spread.Where(x => x.EquipmentId == applicator.ApplicatorId).SelectMany(Pairs))
                _ = Moved(a, b, applicator.MeterModulusMillilitres) is { } moved ? metered += moved : unknown++;

            var lines = accumulator.Lines.Where(line => line.Key.ApplicatorId == applicator.ApplicatorId).ToList();
            Assert.Equal(
                metered,
                lines.Sum(x => x.Value.VolumeMillilitres + x.Value.DisengagedMillilitres + x.Value.NotPlacedMillilitres)
            );
            Assert.Equal(unknown, lines.Sum(line => line.Value.UnknownIntervals));
            Assert.True(metered > 0);
        }
        Assert.Contains(accumulator.Lines.Values, line => line.UnknownIntervals > 0);
        Assert.DoesNotContain(accumulator.Lines.Keys, key => key.ApplicatorId == "unregistered");

        IEnumerable<(SpreadReading A, SpreadReading B)> Pairs(Series<SpreadReading> series) =>
            series
                .Readings.Zip(series.Readings.Skip(1))
                .Where(pair =>
                    IsSound(pair.First.MeasuredAtMilliseconds) && IsSound(pair.Second.MeasuredAtMilliseconds)
                );

        bool IsSound(long at) =>
            at >= configuration.Calendar!.LedgerBeginsMilliseconds && at <= Recorded.ToUnixTimeMilliseconds() + 300_000;
    }

    // The Ledger's README, "Intervals" 1, in a second plain form.
    private static long? Moved(SpreadReading a, SpreadReading b, long? modulus)
    {
        var dt = b.MeasuredAtMilliseconds - a.MeasuredAtMilliseconds;
        if (b.TotalMillilitres - a.TotalMillilitres is { } d)
            return d >= 0 ? d
                : d + modulus is { } rolled and >= 0 && dt > 0 && rolled <= 500 * dt ? rolled
                : null;
        if (a.FlowMillilitresPerSecond is { } from && b.FlowMillilitresPerSecond is { } to && dt is > 0 and <= 10_000)
            return FloorDivision.Divide((from + (long)to) * dt + 1000, 2000);
        return null;
    }

    private static LedgerAddition Posted(InventedSeason season, IEnumerable<IJournalEvent> events) =>
        Posted(events, Some.Configuration(season.ConfigurationEvents));

    private static LedgerAddition Posted(IEnumerable<IJournalEvent> events, FarmConfiguration configuration)
    {
        var accumulator = new LedgerAccumulator();
        foreach (var @event in events)
            accumulator.Post(@event, Recorded, configuration);
        return accumulator.TakeAll();
    }
}
