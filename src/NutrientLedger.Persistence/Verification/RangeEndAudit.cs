using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Codecs;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.Weather;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Persistence.Verification;

/// <summary>
/// Compares the readings that are kept at the ends of received ranges with those in the batches. A wrong one would
/// become the neighbour of the next reading that arrives, and be posted with it.
/// </summary>
internal sealed class RangeEndAudit
{
    private readonly Dictionary<(string Stream, string EquipmentId, long Boot, long Seq), byte[]> ends = [];

    public static async Task<RangeEndAudit> ReadAsync(
        NpgsqlConnection connection,
        string farmId,
        CancellationToken cancellationToken
    )
    {
        var audit = new RangeEndAudit();
        await using var command = connection.Command(
            $"""
            select stream, equipment, boot, seq, kept from {ReceivedRangeRows.Table}
            cross join lateral (
                select array_agg(bound order by place, upper) as numbers from (
                    select place, false as upper, lower(run) as bound from unnest(ranges) with ordinality as r (run, place)
                    union all
                    select place, true, upper(run) - 1 from unnest(ranges) with ordinality as r (run, place)
                ) as bounds
            ) as known
            cross join lateral unnest(numbers, range_ends) as ends (seq, kept)
            where farm = $1
            """,
            farmId
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        while (await rows.ReadAsync(cancellationToken))
            if (!await rows.IsDBNullAsync(3, cancellationToken))
                audit.ends[(rows.GetString(0), rows.GetString(1), rows.GetInt64(2), rows.GetInt64(3))] =
                    await rows.IsDBNullAsync(4, cancellationToken) ? [] : rows.GetFieldValue<byte[]>(4);
        return audit;
    }

    /// <summary>The numbers of a batch whose kept reading is another one.</summary>
    public IEnumerable<long> Wrong(IJournalEvent @event) =>
        @event switch
        {
            SpreadingMeasured { Batch: var batch } => Wrong(batch),
            StorageLevelMeasured { Batch: var batch } => Wrong(batch),
            WeatherMeasured { Batch: var batch } => Wrong(batch),
            _ => [],
        };

    private IEnumerable<long> Wrong<TReading>(ReadingBatch<TReading> batch)
        where TReading : struct, IReading<TReading>
    {
        var stream = BatchSpanRows.Name(TReading.Stream);
        for (var i = 0; i < batch.Readings.Length; i++)
        {
            var seq = batch.FirstSeq + i;
            if (!ends.TryGetValue((stream, batch.EquipmentId, batch.Boot, seq), out var kept))
                continue;
            var right = BatchCodec.Encode(
                new ReadingBatch<TReading>(batch.EquipmentId, batch.Boot, seq, [batch.Readings[i]])
            );
            if (!kept.AsSpan().SequenceEqual(right))
                yield return seq;
        }
    }
}
