using NutrientLedger.Journal;

namespace NutrientLedger.Persistence.Messages;

/// <summary>
/// A sound message on its way into the journal: a pack without neighbours, with the bytes it came as; when it is offered again
/// from the refused list, with its number there. A device that started anew may tell how far it had counted before.
/// </summary>
public sealed record DecodedMessage(
    string FarmId,
    IJournalEvent Event,
    string Topic,
    ReadOnlyMemory<byte> Payload,
    string? ContentType = null,
    long? RetryOf = null,
    BootEnd? PreviousBoot = null
);

/// <summary>The last number that a device remembers to have given in an earlier boot.</summary>
public readonly record struct BootEnd(long Boot, long LastSeq);

/// <summary>A message that could not be read, kept byte for byte with the reason.</summary>
public sealed record RejectedMessage(
    string Topic,
    ReadOnlyMemory<byte> Payload,
    string Reason,
    string? ContentType = null
);

/// <summary>What became of an arrived pack once the transaction is committed.</summary>
public abstract record AppendResult
{
    private AppendResult() { }

    /// <summary>In the journal: so many readings stored, so many seen before, so many of the stored ones of doubtful time.</summary>
    public sealed record Stored(int Readings, int Duplicates, int Questionable) : AppendResult;

    /// <summary>Nothing was stored; the bytes are in the refused list with this reason.</summary>
    public sealed record Rejected(string Reason) : AppendResult;
}
