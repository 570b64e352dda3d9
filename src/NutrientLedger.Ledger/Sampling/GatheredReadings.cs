using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Ledger;

/// <summary>
/// Readings of a farm from one moment to before another (ms since 1970, UTC), gathered pack by pack in any order and read as people
/// decided; then looked through for findings.
/// </summary>
public sealed class GatheredReadings(Register register, long fromMilliseconds, long beforeMilliseconds)
{
    private readonly Dictionary<(string EquipmentId, long Boot), List<(long Seq, SpreadReading Reading)>> spread = [];
    private readonly Dictionary<(string EquipmentId, long Boot), List<(long Seq, LevelReading Reading)>> levels = [];

    public void Add(IEntry entry, DateTimeOffset recordedAt)
    {
        var sound = Doubtful.SoundTimes(recordedAt, register.Calendar);
        switch (entry)
        {
            case SpreadingMeasured { Pack: var pack }:
                Gather(spread, pack, (decided, reading) => decided.Read(reading, sound));
                break;
            case StorageLevelMeasured { Pack: var pack }:
                Gather(levels, pack, (decided, reading) => decided.Read(reading, sound));
                break;
            default:
                break;
        }
    }

    /// <summary>By sender and boot, in the order of the numbers.</summary>
    public IEnumerable<ReadingFinding> Findings() =>
        InOrder(spread)
            .SelectMany(ReadingFindings.Of)
            .Concat(InOrder(levels).SelectMany(ReadingFindings.Of))
            .OrderBy(finding => finding.FromMilliseconds);

    private void Gather<TReading>(
        Dictionary<(string EquipmentId, long Boot), List<(long Seq, TReading Reading)>> into,
        Pack<TReading> pack,
        Func<ReadingDecision, TReading, TReading?> read
    )
        where TReading : struct, IReading<TReading>
    {
        var decided = register.Decided(pack.EquipmentId, TReading.Stream, pack.Boot);
        for (var i = 0; i < pack.Readings.Length; i++)
        {
            var seq = pack.FirstSeq + i;
            if (
                read(decided[seq], pack.Readings[i]) is not { } reading
                || reading.MeasuredAtMilliseconds < fromMilliseconds
                || reading.MeasuredAtMilliseconds >= beforeMilliseconds
            )
                continue;
            if (!into.TryGetValue((pack.EquipmentId, pack.Boot), out var series))
                into[(pack.EquipmentId, pack.Boot)] = series = [];
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
                [.. series.Value.OrderBy(known => known.Seq)]
            ));
}
