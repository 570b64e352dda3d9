using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.Weather;
using NutrientLedger.Ledger;

namespace NutrientLedger.Store;

/// <summary>What a batch holds of one sender's stream and boot, and what became of it.</summary>
internal sealed record SenderOutcome(
    IReadOnlyList<AppendFate> Fates,
    IReadOnlyList<JournalEntry> Entries,
    SeenRow Seen,
    DateTimeOffset? LastMeasuredAt,
    long? ClockLagMilliseconds
);

/// <summary>Takes one sender's part of a batch through its seen row: what is new becomes entries, the rest is counted.</summary>
internal static class SenderBatch
{
    /// <summary>The sender, stream and boot of a pack.</summary>
    public static SeenKey KeyOf(ArrivedPack arrived) =>
        arrived.Entry switch
        {
            SpreadingMeasured measured => Key(arrived.FarmId, measured.Pack),
            StorageLevelMeasured measured => Key(arrived.FarmId, measured.Pack),
            WeatherMeasured measured => Key(arrived.FarmId, measured.Pack),
            _ => throw new ArgumentException($"{arrived.Entry.GetType().Name} is not telemetry.", nameof(arrived)),
        };

    /// <summary>Takes the packs in, in order of arrival.</summary>
    public static SenderOutcome Take(
        SeenKey key,
        SeenRow row,
        IReadOnlyList<ArrivedPack> arrived,
        Register register,
        DateTimeOffset now
    ) =>
        key.Stream switch
        {
            TelemetryStream.Spread => Take(
                key,
                row,
                Packs(arrived, (SpreadingMeasured measured) => measured.Pack),
                pack => new SpreadingMeasured(pack),
                register,
                now
            ),
            TelemetryStream.Store => Take(
                key,
                row,
                Packs(arrived, (StorageLevelMeasured measured) => measured.Pack),
                pack => new StorageLevelMeasured(pack),
                register,
                now
            ),
            _ => Take(
                key,
                row,
                Packs(arrived, (WeatherMeasured measured) => measured.Pack),
                pack => new WeatherMeasured(pack),
                register,
                now
            ),
        };

    private static SenderOutcome Take<TReading>(
        SeenKey key,
        SeenRow row,
        IEnumerable<Pack<TReading>> packs,
        Func<Pack<TReading>, IEntry> entry,
        Register register,
        DateTimeOffset now
    )
        where TReading : struct, IReading<TReading>
    {
        var seen = row.Runs<TReading>();
        var fates = new List<AppendFate>();
        long? lastMeasured = null;
        long? lag = null;
        foreach (var pack in packs)
        {
            if (seen.ReasonToRefuse(pack.FirstSeq, pack.Readings.Length) is { } reason)
            {
                fates.Add(new AppendFate.Refused(reason));
                continue;
            }
            lag = ClockLag.Least(lag, ClockLag.Of(pack, seen.Runs is [.., var highest] ? highest.LastSeq : 0, now));
            var added = seen.Add(pack.FirstSeq, pack.Readings);
            var doubtful = Doubtful.Count(pack with { Readings = added }, now, register);
            fates.Add(new AppendFate.Stored(added.Length, pack.Readings.Length - added.Length, doubtful));
            if (doubtful == 0 && added.Length > 0)
                lastMeasured = Math.Max(lastMeasured ?? long.MinValue, added.Max(r => r.MeasuredAtMilliseconds));
        }
        var streamKey = FormattableString.Invariant($"{key.EquipmentId}/{key.StreamName}/{now.UtcDateTime:yyyy-MM-dd}");
        var entries = seen.Cut(key.EquipmentId, key.Boot)
            .Select(pack => new JournalEntry(
                streamKey,
                EntryIds.OfPack(key.FarmId, key.Stream, key.EquipmentId, key.Boot, pack.FirstSeq),
                entry(pack)
            ))
            .ToArray();
        return new(
            fates,
            entries,
            entries.Length == 0 ? row : row.With(key, seen, now),
            lastMeasured is { } last ? DateTimeOffset.FromUnixTimeMilliseconds(last) : null,
            lag
        );
    }

    private static IEnumerable<Pack<TReading>> Packs<TEntry, TReading>(
        IReadOnlyList<ArrivedPack> arrived,
        Func<TEntry, Pack<TReading>> pack
    )
        where TEntry : IEntry
        where TReading : struct, IReading<TReading> => arrived.Select(message => pack((TEntry)message.Entry));

    private static SeenKey Key<TReading>(string farmId, Pack<TReading> pack)
        where TReading : struct, IReading<TReading> => new(farmId, pack.EquipmentId, TReading.Stream, pack.Boot);
}
