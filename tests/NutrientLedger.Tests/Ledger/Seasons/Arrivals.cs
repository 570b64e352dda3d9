using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Tests.Ledger.Seasons;

/// <summary>The ways in which the same readings of a season can reach the journal.</summary>
internal static class Arrivals
{
    /// <summary>Series after series, in whole batches.</summary>
    public static IJournalEvent[] InOrder(InventedSeason season) =>
        [
            .. season.Spread.SelectMany(series =>
                new ReceivedReadings<SpreadReading>(series).Arrive(1, series.Readings.Length).Select(Event)
            ),
            .. season.Levels.SelectMany(series =>
                new ReceivedReadings<LevelReading>(series).Arrive(1, series.Readings.Length).Select(Event)
            ),
        ];

    /// <summary>
    /// Cut into messages at random, some sent again with other cuts, all shuffled, boots and applicators mixed.
    /// </summary>
    public static IJournalEvent[] Shuffled(InventedSeason season, int seed) =>
        Shuffled(season.Spread, season.Levels, seed);

    /// <summary>The same for some series of readings.</summary>
    public static IJournalEvent[] Shuffled(Series<SpreadReading>[] spread, Series<LevelReading>[] levels, int seed)
    {
        var random = new Random(seed);
        List<Func<IEnumerable<IJournalEvent>>> messages =
        [
            .. spread.SelectMany(series =>
                Messages(new ReceivedReadings<SpreadReading>(series), series, Event, random)
            ),
            .. levels.SelectMany(series => Messages(new ReceivedReadings<LevelReading>(series), series, Event, random)),
        ];
        var shuffled = messages.ToArray();
        random.Shuffle(shuffled);
        return [.. shuffled.SelectMany(arrive => arrive().ToArray())];
    }

    private static List<Func<IEnumerable<IJournalEvent>>> Messages<TReading>(
        ReceivedReadings<TReading> received,
        Series<TReading> series,
        Func<ReadingBatch<TReading>, IJournalEvent> @event,
        Random random
    )
        where TReading : struct, IReading<TReading>
    {
        var messages = new List<Func<IEnumerable<IJournalEvent>>>();
        var longest = random.Next(1, 60);
        for (var first = 1; first <= series.Readings.Length; )
        {
            var last = Math.Min(series.Readings.Length, first + random.Next(longest));
            Send(first, last);
            if (random.Next(3) == 0)
                Send(Math.Max(1, first - random.Next(40)), Math.Min(series.Readings.Length, last + random.Next(40)));
            first = last + 1;
        }
        return messages;

        void Send(long first, long last) => messages.Add(() => received.Arrive(first, last).Select(@event));
    }

    private static IJournalEvent Event(ReadingBatch<SpreadReading> batch) => new SpreadingMeasured(batch);

    private static IJournalEvent Event(ReadingBatch<LevelReading> batch) => new StorageLevelMeasured(batch);
}
