using NutrientLedger.Journal;
using NutrientLedger.Journal.Codecs;

namespace NutrientLedger.Persistence.ReceivedRanges;

/// <summary>
/// The reading at one end of a range, as its stored bytes, as a reading, or as both. One is made from the other only on
/// demand. A device with many gaps has thousands of ends, and a message uses two of them.
/// </summary>
internal sealed class ReceivedRangeEnd<TReading>
    where TReading : struct, IReading<TReading>
{
    private TReading? reading;
    private byte[]? stored;

    private ReceivedRangeEnd(TReading? reading, byte[]? stored) => (this.reading, this.stored) = (reading, stored);

    /// <summary>The reading itself.</summary>
    public TReading Reading => reading ??= BatchCodec.Decode<TReading>(stored).Readings[0];

    public static implicit operator ReceivedRangeEnd<TReading>(TReading reading) => new(reading, null);

    /// <summary>An end as it was stored.</summary>
    internal static ReceivedRangeEnd<TReading> FromStored(byte[] stored) => new(null, stored);

    /// <summary>Its stored form: that of a batch which holds only this reading.</summary>
    internal byte[] Stored(SequenceKey key, long seq) =>
        stored ??= BatchCodec.Encode(new ReadingBatch<TReading>(key.EquipmentId, key.Boot, seq, [Reading]));
}
