using NutrientLedger.Journal;

namespace NutrientLedger.Store;

/// <summary>
/// A sound message on its way into the journal: a pack without neighbours, with the bytes it came as; when it is offered again
/// from the refused list, with its number there. A device that started anew may tell how far it had counted before.
/// </summary>
public sealed record ArrivedPack(
    string FarmId,
    IEntry Entry,
    string Topic,
    ReadOnlyMemory<byte> Payload,
    string? ContentType = null,
    long? OfferedAs = null,
    LastOfBoot? Former = null
);

/// <summary>The last number that a device remembers to have given in an earlier boot.</summary>
public readonly record struct LastOfBoot(long Boot, long LastSeq);

/// <summary>A message that could not be read, kept byte for byte with the reason.</summary>
public sealed record RefusedMessage(
    string Topic,
    ReadOnlyMemory<byte> Payload,
    string Reason,
    string? ContentType = null
);

/// <summary>What became of an arrived pack once the transaction is committed.</summary>
public abstract record AppendFate
{
    private AppendFate() { }

    /// <summary>In the journal: so many readings stored, so many seen before, so many of the stored ones of doubtful time.</summary>
    public sealed record Stored(int Readings, int Duplicates, int Doubtful) : AppendFate;

    /// <summary>Nothing was stored; the bytes are in the refused list with this reason.</summary>
    public sealed record Refused(string Reason) : AppendFate;
}
