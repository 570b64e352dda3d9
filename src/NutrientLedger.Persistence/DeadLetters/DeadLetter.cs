namespace NutrientLedger.Persistence.DeadLetters;

/// <summary>How a refused message stands.</summary>
public enum DeadLetterState
{
    /// <summary>Waiting for somebody to mend the cause, or to close it.</summary>
    Open,

    /// <summary>Offered again, and in the journal now.</summary>
    Stored,

    /// <summary>Closed by somebody, with a reason.</summary>
    Closed,
}

/// <summary>A refused message as listed; farm, equipment and stream as its topic names them, where it does.</summary>
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
    string? CloseReason
);

/// <summary>A refused message with its bytes.</summary>
public sealed record DeadLetter(DeadLetterSummary Summary, byte[] Payload);

/// <summary>
/// How many refused messages were counted and not kept, whose they were (a farm's, or "" for all that are not registered; a
/// sender, or "" for a whole farm), and which limit was reached.
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

/// <summary>What to list: one farm's or all, one state's or all, those with a number below one, at most so many.</summary>
public sealed record DeadLetterQuery(string? FarmId, DeadLetterState? State, long? Before, int Limit);
