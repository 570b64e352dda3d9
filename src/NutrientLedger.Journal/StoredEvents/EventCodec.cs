namespace NutrientLedger.Journal.StoredEvents;

/// <summary>
/// The stored form of an event: bytes for batches of readings, JSON for everything else. Golden files under tests hold
/// examples of each.
/// </summary>
public static class EventCodec
{
    /// <summary>The stored bytes of an event. The chain hash covers them.</summary>
    public static byte[] Encode(IJournalEvent @event) => EventTypes.Of(@event).Encode(@event);

    /// <summary>
    /// Reads an event back from its stored bytes. A <see cref="FormatException"/> names a type this hub lacks.
    /// </summary>
    public static IJournalEvent Decode(string storedName, ReadOnlySpan<byte> stored) =>
        EventTypes.ByName.TryGetValue(storedName, out var type)
            ? type.Decode(stored)
            : throw new FormatException(
                $"The journal holds an event named '{storedName}' that this hub does not know."
            );
}
