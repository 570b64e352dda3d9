using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Tests.Ledger.Seasons;

/// <summary>The ways in which the same readings of a season can reach the journal.</summary>
internal static class Arrivals
{
    /// <summary>Series after series, in whole packs.</summary>
    public static IJournalEvent[] InOrder(InventedSeason season) =>
        [
            .. season.Spread.SelectMany(series =>
                new SeenReadings<SpreadReading>(series).Arrive(1, series.Readings.Length).Select(Entry)
            ),
            .. season.Levels.SelectMany(series =>
                new SeenReadings<LevelReading>(series).Arrive(1, series.Readings.Length).Select(Entry)
            ),
        ];

    /// <summary>Cut into messages anyhow, some sent again with other cuts, all of them shuffled, boots and machines mixed.</summary>
    public static IJournalEvent[] Anyhow(InventedSeason season, int seed)
    {
        var random = new Random(seed);
        List<Func<IEnumerable<IJournalEvent>>> messages =
        [
            .. season.Spread.SelectMany(series =>
                Messages(new SeenReadings<SpreadReading>(series), series, Entry, random)
            ),
            .. season.Levels.SelectMany(series =>
                Messages(new SeenReadings<LevelReading>(series), series, Entry, random)
            ),
        ];
        var shuffled = messages.ToArray();
        random.Shuffle(shuffled);
        return [.. shuffled.SelectMany(arrive => arrive().ToArray())];
    }

    private static List<Func<IEnumerable<IJournalEvent>>> Messages<TReading>(
        SeenReadings<TReading> seen,
        Series<TReading> series,
        Func<ReadingBatch<TReading>, IJournalEvent> entry,
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

        void Send(long first, long last) => messages.Add(() => seen.Arrive(first, last).Select(entry));
    }

    private static IJournalEvent Entry(ReadingBatch<SpreadReading> pack) => new SpreadingMeasured(pack);

    private static IJournalEvent Entry(ReadingBatch<LevelReading> pack) => new StorageLevelMeasured(pack);
}
