using NutrientLedger.Journal;

namespace NutrientLedger.Persistence.Messages;

/// <summary>
/// A valid message on its way into the journal: a batch without neighbours, with its original bytes. A retried message
/// carries its number in the list of rejected messages. A restarted device may report how far it had counted before.
/// </summary>
public sealed record DecodedMessage(
    string FarmId,
    IJournalEvent Event,
    string Topic,
    ReadOnlyMemory<byte> Payload,
    string? ContentType = null,
    long? RetryOf = null,
    BootEnd? PreviousBoot = null,
    LeftOut LeftOut = default
);

/// <summary>What was not read of a message: records with unknown names, values too far below zero.</summary>
public readonly record struct LeftOut(int UnknownRecords, int Values);

/// <summary>The last number that a device remembers from an earlier boot.</summary>
public readonly record struct BootEnd(long Boot, long LastSeq);

/// <summary>
/// A message that could not be read, kept byte for byte with the reason. Of one that is too large, the payload is only
/// the beginning.
/// </summary>
public sealed record RejectedMessage(
    string Topic,
    ReadOnlyMemory<byte> Payload,
    string Reason,
    string? ContentType = null,
    WholePayload? Whole = null
);

/// <summary>The length and the SHA-256 (hexadecimal) of a payload of which only the beginning is kept.</summary>
public sealed record WholePayload(int Bytes, string Sha256);

/// <summary>What a sound message waits for before it can be stored.</summary>
public enum WaitingFor
{
    /// <summary>The import of its farm.</summary>
    Farm = 1,

    /// <summary>A decision: its numbers are known with other readings, as from a new device that counts anew.</summary>
    Decision = 2,

    /// <summary>The same decision, about an earlier message of its device.</summary>
    EarlierDecision = 3,
}

/// <summary>What became of an arrived batch once the transaction is committed.</summary>
public abstract record AppendResult
{
    private AppendResult() { }

    /// <summary>
    /// In the journal: how many readings were stored, how many were duplicates, and how many of the stored have a
    /// questionable time.
    /// </summary>
    public sealed record Stored(int Readings, int Duplicates, int Questionable) : AppendResult;

    /// <summary>
    /// Nothing was stored. The bytes are in the list of rejected messages with this reason. A sound message says what
    /// it waits for.
    /// </summary>
    public sealed record Rejected(string Reason, WaitingFor? WaitsFor = null) : AppendResult;

    /// <summary>
    /// Nothing was stored or kept: the message is sound, but too many wait already. The reason says which limit is
    /// reached and what to do.
    /// </summary>
    public sealed record OverQuota(string Reason) : AppendResult;

    /// <summary>Nothing was stored or kept: this commit had enough to do. The device sends the message again.</summary>
    public sealed record NotCommitted(string Reason) : AppendResult;
}
