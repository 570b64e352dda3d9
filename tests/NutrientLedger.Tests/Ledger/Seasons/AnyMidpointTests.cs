using NutrientLedger.Journal;

namespace NutrientLedger.Tests.Ledger.Seasons;

/// <summary>
/// Random journals with readings, configuration events, calibrations and decisions in any order. Corrections come
/// before, between and after the readings they are about. Posted live, replayed, or replayed up to any point and
/// continued, the ledger is the same.
/// </summary>
public class AnyMidpointTests
{
    public static TheoryData<int> Seeds => [.. Enumerable.Range(1, 8)];

    [Theory]
    [MemberData(nameof(Seeds))]
    public void Live_and_replayed_ledgers_are_the_same_at_every_point_compared(int seed)
    {
        var journal = Journal(seed);
        var points = Points(journal.Length, seed);
        var live = new LiveLedger();
        for (var position = 0; position <= journal.Length; position++)
        {
            if (points.Contains(position))
                SameLedger.Assert(LiveLedger.Replay(journal[..position]), live.Ledger);
            if (position < journal.Length)
                live.Post(journal[position].Event, journal[position].RecordedAt);
        }
        Assert.NotEmpty(live.Ledger.Tiles);
        Assert.NotEmpty(live.Ledger.Levels);
    }

    [Theory]
    [MemberData(nameof(Seeds))]
    public void A_replay_up_to_any_point_that_is_continued_is_the_replay_of_everything(int seed)
    {
        var journal = Journal(seed);
        var expected = LiveLedger.Replay(journal);

        foreach (var point in Points(journal.Length, seed))
        {
            var continued = new LiveLedger(journal[..point]);
            foreach (var (@event, recordedAt) in journal[point..])
                continued.Post(@event, recordedAt);
            SameLedger.Assert(expected, continued.Ledger);
        }
    }

    /// <summary>
    /// The farm is registered first, as it must be; everything else comes in any order, ten minutes apart.
    /// </summary>
    private static (IJournalEvent Event, DateTimeOffset RecordedAt)[] Journal(int seed)
    {
        var season = new InventedSeason(seed);
        IJournalEvent[] rest =
        [
            .. season.ConfigurationEvents[1..],
            .. season.Decisions,
            .. SomeCalibrations.Of(season, seed),
        ];
        var random = new Random(seed);
        random.Shuffle(rest);
        // Batches stay in their order of arrival: the neighbours that a batch knows have arrived before it.
        var journal = Arrivals.Shuffled(season, seed).ToList();
        foreach (var @event in rest)
            journal.Insert(random.Next(journal.Count + 1), @event);
        var begin = new DateTimeOffset(2026, 3, 8, 18, 0, 0, TimeSpan.Zero);
        return
        [
            .. journal.Prepend(season.ConfigurationEvents[0]).Select((@event, i) => (@event, begin.AddMinutes(10 * i))),
        ];
    }

    /// <summary>The beginning, the end and four points between.</summary>
    private static HashSet<int> Points(int length, int seed)
    {
        var random = new Random(seed);
        return [0, length, .. Enumerable.Range(0, 4).Select(_ => random.Next(1, length))];
    }
}
