using NutrientLedger.Journal;

namespace NutrientLedger.Tests.Ledger.Seasons;

/// <summary>
/// Random journals in which readings, register entries, calibrations and decisions stand in any order, so that corrections come before, between
/// and after the readings they are about: posted live, replayed, or replayed up to any point and continued, it is the same ledger.
/// </summary>
public class AnyMidpointTests
{
    public static TheoryData<int> Seeds => [.. Enumerable.Range(1, 8)];

    [Theory]
    [MemberData(nameof(Seeds))]
    public void Live_and_replayed_ledgers_are_the_same_at_every_point_that_is_looked_at(int seed)
    {
        var journal = Journal(seed);
        var points = Points(journal.Length, seed);
        var live = new LiveLedger();
        for (var position = 0; position <= journal.Length; position++)
        {
            if (points.Contains(position))
                SameLedger.Assert(LiveLedger.Replay(journal[..position]), live.Book);
            if (position < journal.Length)
                live.Post(journal[position].Entry, journal[position].RecordedAt);
        }
        Assert.NotEmpty(live.Book.Tiles);
        Assert.NotEmpty(live.Book.Levels);
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
            foreach (var (entry, recordedAt) in journal[point..])
                continued.Post(entry, recordedAt);
            SameLedger.Assert(expected, continued.Book);
        }
    }

    /// <summary>The farm is registered first, as it must be; everything else comes in any order, ten minutes apart.</summary>
    private static (IJournalEvent Entry, DateTimeOffset RecordedAt)[] Journal(int seed)
    {
        var season = new InventedSeason(seed);
        IJournalEvent[] rest = [.. season.Register[1..], .. season.Decisions, .. SomeCalibrations.Of(season, seed)];
        var random = new Random(seed);
        random.Shuffle(rest);
        // Packs stay in their order of arrival: the neighbours that one knows of have arrived before it.
        var journal = Arrivals.Anyhow(season, seed).ToList();
        foreach (var entry in rest)
            journal.Insert(random.Next(journal.Count + 1), entry);
        var begin = new DateTimeOffset(2026, 3, 8, 18, 0, 0, TimeSpan.Zero);
        return [.. journal.Prepend(season.Register[0]).Select((entry, i) => (entry, begin.AddMinutes(10 * i)))];
    }

    /// <summary>The beginning, the end and four points between.</summary>
    private static HashSet<int> Points(int length, int seed)
    {
        var random = new Random(seed);
        return [0, length, .. Enumerable.Range(0, 4).Select(_ => random.Next(1, length))];
    }
}
