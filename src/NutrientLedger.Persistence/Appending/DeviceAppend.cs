using System.Collections.Immutable;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Journal.Weather;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Persistence.Events;
using NutrientLedger.Persistence.Messages;
using NutrientLedger.Persistence.ReceivedRanges;

namespace NutrientLedger.Persistence.Appending;

/// <summary>What a batch holds of one device's stream and boot, and what became of it.</summary>
internal sealed record DeviceAppendResult(
    IReadOnlyList<AppendResult> Results,
    IReadOnlyList<NewEvent> Events,
    ReceivedRangeRow Received,
    DateTimeOffset? LastMeasuredAt,
    long? ClockLagMilliseconds
)
{
    /// <summary>Whether a message had known numbers with other readings.</summary>
    public bool IsUndecided => Results.Any(result => result is AppendResult.Rejected { WaitsFor: WaitingFor.Decision });

    /// <summary>What was left out of messages that brought a new reading.</summary>
    public IReadOnlyList<LeftOut> LeftOut { get; init; } = [];
}

/// <summary>
/// Appends one device's part of a batch by its received ranges. New readings become events. Those under known numbers
/// are compared with what is stored: the same ones are counted, a message with another one waits for a decision.
/// </summary>
internal static class DeviceAppend
{
    /// <summary>The device, stream and boot of a batch.</summary>
    public static SequenceKey KeyOf(DecodedMessage arrived) =>
        arrived.Event switch
        {
            SpreadingMeasured measured => Key(arrived.FarmId, measured.Batch),
            StorageLevelMeasured measured => Key(arrived.FarmId, measured.Batch),
            WeatherMeasured measured => Key(arrived.FarmId, measured.Batch),
            _ => throw new ArgumentException($"{arrived.Event.GetType().Name} is not telemetry.", nameof(arrived)),
        };

    /// <summary>The first and last number of a batch.</summary>
    public static (long FirstSeq, long LastSeq) NumbersOf(DecodedMessage arrived) =>
        BatchSpan.Of(arrived.Event) is { } span ? (span.FirstSeq, span.LastSeq) : default;

    /// <summary>Appends the batches, in order of arrival.</summary>
    public static DeviceAppendResult Append(
        SequenceKey key,
        ReceivedRangeRow row,
        IReadOnlyList<DecodedMessage> arrived,
        FarmConfiguration configuration,
        DateTimeOffset now,
        KnownReadings known,
        bool isUndecided
    )
    {
        var result = key.Stream switch
        {
            TelemetryStream.Spread => Append(
                key,
                row,
                Batches(arrived, (SpreadingMeasured measured) => measured.Batch),
                batch => new SpreadingMeasured(batch),
                configuration,
                now,
                known,
                isUndecided
            ),
            TelemetryStream.Store => Append(
                key,
                row,
                Batches(arrived, (StorageLevelMeasured measured) => measured.Batch),
                batch => new StorageLevelMeasured(batch),
                configuration,
                now,
                known,
                isUndecided
            ),
            _ => Append(
                key,
                row,
                Batches(arrived, (WeatherMeasured measured) => measured.Batch),
                batch => new WeatherMeasured(batch),
                configuration,
                now,
                known,
                isUndecided
            ),
        };
        return result with
        {
            LeftOut =
            [
                .. arrived
                    .Zip(result.Results)
                    .Where(message => message.Second is AppendResult.Stored { Readings: > 0 })
                    .Select(message => message.First.LeftOut),
            ],
        };
    }

    /// <summary>The stream that a device's events recorded at a moment belong to: one for each day (UTC).</summary>
    public static string StreamKeyOf(SequenceKey key, DateTimeOffset now) =>
        FormattableString.Invariant($"{key.EquipmentId}/{key.StreamName}/{now.UtcDateTime:yyyy-MM-dd}");

    private static DeviceAppendResult Append<TReading>(
        SequenceKey key,
        ReceivedRangeRow row,
        IEnumerable<ReadingBatch<TReading>> batches,
        Func<ReadingBatch<TReading>, IJournalEvent> toEvent,
        FarmConfiguration configuration,
        DateTimeOffset now,
        KnownReadings known,
        bool isUndecided
    )
        where TReading : struct, IReading<TReading>
    {
        var received = row.ToRangeSet<TReading>();
        var stored = known.Of<TReading>(key);
        var earlier = ReplacedDevice.Earlier(key, configuration).Select(known.Of<TReading>).ToArray();
        var results = new List<AppendResult>();
        long? lastMeasured = null;
        long? lag = null;
        foreach (var batch in batches)
        {
            if (received.RejectionReason(batch.FirstSeq, batch.Readings.Length) is { } reason)
            {
                results.Add(new AppendResult.Rejected(reason));
                continue;
            }
            var parts = WithoutEarlier(batch, earlier).ToArray();
            var differing = parts
                .Select(part => received.FirstDiffering(part.FirstSeq, part.Readings, stored))
                .FirstOrDefault(seq => seq is not null);
            if (differing is { } number)
            {
                isUndecided = true;
                results.Add(Differs(key, configuration, number));
                continue;
            }
            if (isUndecided && !parts.All(part => received.HoldsAll(part.FirstSeq, part.LastSeq)))
            {
                results.Add(Held(key));
                continue;
            }
            lag = ClockLag.Min(
                lag,
                ClockLag.Of(batch, received.Ranges is [.., var highest] ? highest.LastSeq : 0, now)
            );
            ImmutableArray<TReading> added = [.. parts.SelectMany(part => received.Add(part.FirstSeq, part.Readings))];
            var questionable = QuestionableTime.Count(batch with { Readings = added }, now, configuration);
            results.Add(new AppendResult.Stored(added.Length, batch.Readings.Length - added.Length, questionable));
            if (questionable == 0 && added.Length > 0)
                lastMeasured = Math.Max(lastMeasured ?? long.MinValue, added.Max(r => r.MeasuredAtMilliseconds));
        }
        var streamKey = StreamKeyOf(key, now);
        var events = received
            .ToBatches(key.EquipmentId, key.Boot)
            .Select(batch => new NewEvent(
                streamKey,
                EventIds.OfBatch(key.FarmId, key.Stream, key.EquipmentId, key.Boot, batch.FirstSeq),
                toEvent(batch)
            ))
            .ToArray();
        return new(
            results,
            events,
            events.Length == 0 ? row : row.With(key, received, now),
            lastMeasured is { } last ? DateTimeOffset.FromUnixTimeMilliseconds(last) : null,
            lag
        );
    }

    /// <summary>
    /// A message without the readings that a device before this one sent, as runs of consecutive numbers.
    /// </summary>
    private static IEnumerable<ReadingBatch<TReading>> WithoutEarlier<TReading>(
        ReadingBatch<TReading> batch,
        IReadOnlyList<IReadOnlyDictionary<long, TReading>> earlier
    )
        where TReading : struct, IReading<TReading>
    {
        var from = 0;
        for (var i = 0; i <= batch.Readings.Length; i++)
        {
            if (i < batch.Readings.Length && !earlier.Any(IsIn))
                continue;
            if (i > from)
                yield return batch with
                {
                    FirstSeq = batch.FirstSeq + from,
                    Readings = batch.Readings[from..i],
                };
            from = i + 1;

            bool IsIn(IReadOnlyDictionary<long, TReading> readings) =>
                readings.TryGetValue(batch.FirstSeq + i, out var reading) && reading.Equals(batch.Readings[i]);
        }
    }

    private static AppendResult.Rejected Differs(SequenceKey key, FarmConfiguration configuration, long seq) =>
        new(
            FormattableString.Invariant(
                $"Reading {seq} of boot {key.Boot - configuration.FirstBoot(key.EquipmentId)} of \"{key.EquipmentId}\" ({key.StreamName}) is stored already, and another one came under its number. If this is a new device, say so: POST /api/farms/{key.FarmId}/devices/{key.EquipmentId}/replaced. Else raise boot on the device, and close this message."
            ),
            WaitingFor.Decision
        );

    private static AppendResult.Rejected Held(SequenceKey key) =>
        new(
            $"An earlier message of \"{key.EquipmentId}\" has other readings under known numbers, so its new ones wait. If it is a new device, say so: POST /api/farms/{key.FarmId}/devices/{key.EquipmentId}/replaced. Else close the earlier message, and retry this one.",
            WaitingFor.EarlierDecision
        );

    private static IEnumerable<ReadingBatch<TReading>> Batches<TEvent, TReading>(
        IReadOnlyList<DecodedMessage> arrived,
        Func<TEvent, ReadingBatch<TReading>> batch
    )
        where TEvent : IJournalEvent
        where TReading : struct, IReading<TReading> => arrived.Select(message => batch((TEvent)message.Event));

    private static SequenceKey Key<TReading>(string farmId, ReadingBatch<TReading> batch)
        where TReading : struct, IReading<TReading> => new(farmId, batch.EquipmentId, TReading.Stream, batch.Boot);
}
