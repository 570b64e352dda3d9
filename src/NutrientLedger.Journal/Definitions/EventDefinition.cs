using System.Text.Json;
using NutrientLedger.Journal.Codecs;

namespace NutrientLedger.Journal.Definitions;

/// <summary>
/// All that the journal and the ledger must know about one type of event. Each event record holds its own.
/// <c>EventTypes</c> lists them.
/// </summary>
public abstract class EventDefinition(string storedName, EventSource source)
{
    /// <summary>The name under which events of the type are stored. Lower-case words joined by underscores.</summary>
    public string StoredName { get; } = storedName;

    /// <summary>How events of the type come into the journal.</summary>
    public EventSource Source { get; } = source;

    public abstract Type Type { get; }

    /// <summary>Whether events of the type are batches of readings, stored as bytes.</summary>
    public virtual bool IsBatch => false;

    /// <summary>What an event of the type can change. Rebuild where the record does not say otherwise.</summary>
    public EventChanges Changes { get; init; } = EventChanges.Rebuild;

    /// <summary>
    /// The parts of the ledger that an event changes; everything where the record does not say otherwise.
    /// </summary>
    public abstract IEnumerable<RebuildScope> ScopeOf(IJournalEvent @event);

    /// <summary>
    /// The id of what the event is about, such as a field, a sensor or a decision; null for the whole farm.
    /// </summary>
    public abstract string? SubjectOf(IJournalEvent @event);

    /// <summary>
    /// What the event answers. Of two events with equal keys only the later one counts. Null where each event stands
    /// alone.
    /// </summary>
    public abstract EntryKey? KeyOf(IJournalEvent @event);

    /// <summary>The stored bytes of an event. The chain hash covers them.</summary>
    public abstract byte[] Encode(IJournalEvent @event);

    /// <summary>Reads an event back from its stored bytes.</summary>
    public abstract IJournalEvent Decode(ReadOnlySpan<byte> stored);
}

/// <summary>The definition of one type of event, stored as JSON. What is not set has its safe default.</summary>
public class EventDefinition<TEvent>(string storedName, EventSource source) : EventDefinition(storedName, source)
    where TEvent : class, IJournalEvent
{
    /// <summary>The parts of the ledger that one event changes.</summary>
    public Func<TEvent, IEnumerable<RebuildScope>> Scope { get; init; } = _ => [new RebuildScope.Everything()];

    /// <summary>The id of what one event is about.</summary>
    public Func<TEvent, string?> Subject { get; init; } = _ => null;

    /// <summary>What one event answers within its type, by <see cref="EntryKey.TextOf"/>.</summary>
    public Func<TEvent, string>? Key { get; init; }

    public override Type Type => typeof(TEvent);

    public override IEnumerable<RebuildScope> ScopeOf(IJournalEvent @event) => Scope((TEvent)@event);

    public override string? SubjectOf(IJournalEvent @event) => Subject((TEvent)@event);

    public override EntryKey? KeyOf(IJournalEvent @event) =>
        Key is { } key ? new EntryKey(StoredName, key((TEvent)@event)) : null;

    public override byte[] Encode(IJournalEvent @event) =>
        JsonSerializer.SerializeToUtf8Bytes((TEvent)@event, EventJson.Options);

    public override IJournalEvent Decode(ReadOnlySpan<byte> stored) =>
        JsonSerializer.Deserialize<TEvent>(stored, EventJson.Options)
        ?? throw new FormatException($"A stored {StoredName} is the JSON word null.");
}

/// <summary>
/// The definition of a type of event that is a batch of readings, stored as bytes by <see cref="BatchCodec"/>.
/// </summary>
internal sealed class BatchDefinition<TEvent, TReading>(
    string storedName,
    EventSource source,
    Func<TEvent, ReadingBatch<TReading>> batchOf,
    Func<ReadingBatch<TReading>, TEvent> eventOf
) : EventDefinition<TEvent>(storedName, source)
    where TEvent : class, IJournalEvent
    where TReading : struct, IReading<TReading>
{
    public override bool IsBatch => true;

    public override byte[] Encode(IJournalEvent @event) => BatchCodec.Encode(batchOf((TEvent)@event));

    public override IJournalEvent Decode(ReadOnlySpan<byte> stored) => eventOf(BatchCodec.Decode<TReading>(stored));
}
