using NutrientLedger.Journal;

namespace NutrientLedger.Tests.Ledger.Seasons;

/// <summary>
/// The readings of one series that have arrived. Each counts once; new ones come back as batches with the neighbours
/// known by then. Each pair of neighbours lies in the batch that arrived later.
/// </summary>
internal sealed class ReceivedReadings<TReading>(Series<TReading> series)
    where TReading : struct, IReading<TReading>
{
    private readonly Dictionary<long, TReading> received = [];

    /// <summary>Receives the readings first…last (numbers) and cuts what is new into unbroken batches.</summary>
    public IEnumerable<ReadingBatch<TReading>> Arrive(long first, long last)
    {
        for (var seq = first; seq <= last; seq++)
        {
            var start = seq;
            while (seq <= last && !received.ContainsKey(seq))
                seq++;
            if (seq == start)
                continue;
            var readings = series.Readings[(int)(start - 1)..(int)(seq - 1)];
            yield return new(series.EquipmentId, series.Boot, start, [.. readings], Known(start - 1), Known(seq));
            for (var i = 0; i < readings.Length; i++)
                received[start + i] = readings[i];
        }
    }

    private TReading? Known(long seq) => received.TryGetValue(seq, out var reading) ? reading : null;
}
