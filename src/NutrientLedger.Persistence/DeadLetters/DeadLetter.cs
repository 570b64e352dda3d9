namespace NutrientLedger.Persistence.DeadLetters;

/// <summary>The state of a rejected message.</summary>
public enum DeadLetterState
{
    /// <summary>Waiting for somebody to repair the cause, or to close it.</summary>
    Open,

    /// <summary>Retried, and in the journal now.</summary>
    Stored,

    /// <summary>Closed by somebody, with a reason.</summary>
    Closed,
}

/// <summary>
/// A rejected message as listed. Farm, equipment and stream are those of its topic, where it names them. A message that
/// is too large has the SHA-256 of all its bytes; fewer bytes are kept.
/// </summary>
public sealed record DeadLetterSummary(
    long Id,
    DateTimeOffset RecordedAt,
    DateTimeOffset LastAt,
    long Occurrences,
    string Topic,
    string? FarmId,
    string? EquipmentId,
    string? Stream,
    string? ContentType,
    int Bytes,
    string Reason,
    DeadLetterState State,
    DateTimeOffset? RetriedAt,
    DateTimeOffset? ClosedAt,
    string? ClosedBy,
    string? CloseReason,
    int BytesKept,
    string? WholeSha256
);

/// <summary>A rejected message with its bytes.</summary>
public sealed record DeadLetter(DeadLetterSummary Summary, byte[] Payload);

/// <summary>
/// How many rejected messages were counted and not kept, and which limit was reached. The farm is "" for all that are
/// not registered. The device is "" for a whole farm.
/// </summary>
public sealed record DeadLetterOverflow(
    string FarmId,
    string Device,
    long Messages,
    long Bytes,
    DateTimeOffset FirstAt,
    DateTimeOffset LastAt,
    string Reason
);

/// <summary>
/// What to list: one farm's or all, one state's or all, those with a number below one. A limit bounds how many.
/// </summary>
public sealed record DeadLetterQuery(string? FarmId, DeadLetterState? State, long? Before, int Limit);
