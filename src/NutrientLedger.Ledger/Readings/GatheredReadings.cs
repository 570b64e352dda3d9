using System.Collections.Immutable;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Readings;

/// <summary>
/// Readings of a farm from one moment to before another (ms since 1970, UTC). They are gathered batch by batch in any
/// order, with all decisions applied. Then they are searched for findings.
/// </summary>
public sealed class GatheredReadings(FarmConfiguration configuration, long fromMilliseconds, long beforeMilliseconds)
{
    private readonly Dictionary<(string EquipmentId, long Boot), List<(long Seq, SpreadReading Reading)>> spread = [];
    private readonly Dictionary<(string EquipmentId, long Boot), List<(long Seq, LevelReading Reading)>> levels = [];

    public void Add(IJournalEvent @event, DateTimeOffset recordedAt)
    {
        var sound = QuestionableTime.SoundTimes(recordedAt, configuration.Calendar);
        switch (@event)
        {
            case SpreadingMeasured { Batch: var batch }:
                Gather(spread, batch, (decided, reading) => decided.Read(reading, sound));
                break;
            case StorageLevelMeasured { Batch: var batch }:
                Gather(levels, batch, (decided, reading) => decided.Read(reading, sound));
                break;
            default:
                break;
        }
    }

    /// <summary>By device and boot, in the order of the numbers.</summary>
    public IEnumerable<ReadingFinding> Findings() =>
        InOrder(spread)
            .SelectMany(series =>
                ReadingFindings.Of(series, configuration.Applicator(series.EquipmentId)?.MeterModulusMillilitres)
            )
            .Concat(InOrder(levels).SelectMany(ReadingFindings.Of))
            .OrderBy(finding => finding.FromMilliseconds);

    private void Gather<TReading>(
        Dictionary<(string EquipmentId, long Boot), List<(long Seq, TReading Reading)>> into,
        ReadingBatch<TReading> batch,
        Func<ReadingDecision, TReading, TReading?> read
    )
        where TReading : struct, IReading<TReading>
    {
        var decided = configuration.Decided(batch.EquipmentId, TReading.Stream, batch.Boot);
        for (var i = 0; i < batch.Readings.Length; i++)
        {
            var seq = batch.FirstSeq + i;
            if (
                read(decided[seq], batch.Readings[i]) is not { } reading
                || reading.MeasuredAtMilliseconds < fromMilliseconds
                || reading.MeasuredAtMilliseconds >= beforeMilliseconds
            )
                continue;
            if (!into.TryGetValue((batch.EquipmentId, batch.Boot), out var series))
                into[(batch.EquipmentId, batch.Boot)] = series = [];
            series.Add((seq, reading));
        }
    }

    private static IEnumerable<ReadingSeries<TReading>> InOrder<TReading>(
        Dictionary<(string EquipmentId, long Boot), List<(long Seq, TReading Reading)>> gathered
    )
        where TReading : struct, IReading<TReading> =>
        gathered
            .OrderBy(series => series.Key.EquipmentId, StringComparer.Ordinal)
            .ThenBy(series => series.Key.Boot)
            .Select(series => new ReadingSeries<TReading>(
                series.Key.EquipmentId,
                series.Key.Boot,
                InOrderOfNumbers(series.Value)
            ));

    /// <summary>Batches mostly come in the order of their numbers, and readings are large to sort.</summary>
    private static ImmutableArray<(long Seq, TReading Reading)> InOrderOfNumbers<TReading>(
        List<(long Seq, TReading Reading)> readings
    )
    {
        for (var i = 1; i < readings.Count; i++)
            if (readings[i].Seq < readings[i - 1].Seq)
                return [.. readings.OrderBy(known => known.Seq)];
        return [.. readings];
    }
}
