using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Codecs;
using NutrientLedger.Persistence.Database;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Persistence.Appending;

/// <summary>
/// The stored readings under numbers that arrived again, to compare both. They are read in one round trip for all
/// messages of a commit, and without such numbers in none.
/// </summary>
internal sealed class KnownReadings
{
    /// <summary>
    /// The most readings whose messages are compared in one commit: as many as a commit holds by default. A message
    /// beyond it is not committed, so what one device sends again delays the others by a bounded time.
    /// </summary>
    public const int ReadingsMax = 20_000 + ReadingBatch<Journal.Storage.LevelReading>.ReadingsMax;

    // The span of a batch is at most 600 numbers, so the index leads to those that can hold a number and no further.
    // Each of them holds one of the message's own numbers, so there are no more than 600 of these either.
    private static readonly string Sql = $"""
        select found.farm, found.stream, found.equipment, found.boot, event.batch
        from (
            select distinct wanted.farm, wanted.stream, wanted.equipment, wanted.boot, span.position
            from unnest($1, $2, $3, $4, $5, $6) as wanted (farm, stream, equipment, boot, first_seq, last_seq)
            cross join lateral (
                select position from {BatchSpanRows.Table} as batch
                where batch.farm = wanted.farm and batch.stream = wanted.stream and batch.equipment = wanted.equipment
                    and batch.boot = wanted.boot and batch.first_seq > wanted.first_seq - {BatchMax}
                    and batch.first_seq <= wanted.last_seq and batch.last_seq >= wanted.first_seq
                limit {BatchMax}) as span
        ) as found cross join lateral (
            select batch from journal.event where event.farm = found.farm and event.position = found.position limit 1
        ) as event
        """;

    private const int BatchMax = ReadingBatch<Journal.Storage.LevelReading>.ReadingsMax;

    private readonly Dictionary<SequenceKey, List<byte[]>> batches = [];

    /// <summary>Reads the stored readings of these numbers, both ends included.</summary>
    public async Task ReadAsync(
        NpgsqlConnection connection,
        IReadOnlyList<(SequenceKey Key, long FirstSeq, long LastSeq)> numbers,
        CancellationToken cancellationToken
    )
    {
        if (numbers.Count == 0)
            return;
        await using var command = connection.Command(
            Sql,
            numbers.Select(it => it.Key.FarmId).ToArray(),
            numbers.Select(it => it.Key.StreamName).ToArray(),
            numbers.Select(it => it.Key.EquipmentId).ToArray(),
            numbers.Select(it => it.Key.Boot).ToArray(),
            numbers.Select(it => it.FirstSeq).ToArray(),
            numbers.Select(it => it.LastSeq).ToArray()
        );
        await using var rows = await command.ExecuteReaderAsync(cancellationToken);
        while (await rows.ReadAsync(cancellationToken))
        {
            var stream = Enum.Parse<TelemetryStream>(rows.GetString(1), ignoreCase: true);
            var key = new SequenceKey(rows.GetString(0), rows.GetString(2), stream, rows.GetInt64(3));
            Add(key, rows.GetFieldValue<byte[]>(4));
        }
    }

    /// <summary>Adds a stored batch.</summary>
    public void Add(SequenceKey key, byte[] batch)
    {
        if (!batches.TryGetValue(key, out var known))
            batches[key] = known = [];
        known.Add(batch);
    }

    /// <summary>The readings of one boot that were read, by number.</summary>
    public IReadOnlyDictionary<long, TReading> Of<TReading>(SequenceKey key)
        where TReading : struct, IReading<TReading>
    {
        var readings = new Dictionary<long, TReading>();
        foreach (var stored in batches.GetValueOrDefault(key, []))
        {
            var batch = BatchCodec.Decode<TReading>(stored);
            for (var i = 0; i < batch.Readings.Length; i++)
                readings[batch.FirstSeq + i] = batch.Readings[i];
        }
        return readings;
    }
}
