namespace NutrientLedger.Office.Answers;

/// <summary>
/// Refused messages, newest first, and what was counted without being kept; "before" is the number to ask for next, or nothing
/// at the end of the list.
/// </summary>
public sealed record RefusedPage(
    IReadOnlyList<RefusedAnswer> Refused,
    long? Before,
    IReadOnlyList<NotKeptAnswer> NotKept
);

/// <summary>
/// A refused message, why it was refused, and how it stands: "open", "stored" (offered again with success) or "closed".
/// Identical messages are one, with first and last time and how often they came.
/// </summary>
public sealed record RefusedAnswer(
    long Id,
    DateTimeOffset FirstAt,
    DateTimeOffset LastAt,
    long Times,
    string Topic,
    string? Farm,
    string? Equipment,
    string? Stream,
    string? ContentType,
    int Bytes,
    string Reason,
    string State,
    DateTimeOffset? OfferedAt,
    DateTimeOffset? ClosedAt,
    string? ClosedBy,
    string? ClosedBecause
);

/// <summary>A refused message with its bytes in Base64, and as text where they are UTF-8.</summary>
public sealed record RefusedWholeAnswer(RefusedAnswer Message, string Base64, string? Text);

/// <summary>
/// Messages that were counted and not kept because a limit was reached; the farm is empty for all that are not registered, the
/// sender for a whole farm.
/// </summary>
public sealed record NotKeptAnswer(
    string Farm,
    string Sender,
    long Messages,
    long Bytes,
    DateTimeOffset FirstAt,
    DateTimeOffset LastAt,
    string Why
);

/// <summary>What became of a message that was offered again: stored with so many readings, or refused again with the reason.</summary>
public sealed record OfferedAnswer(long Id, bool Stored, int Readings, int Duplicates, int Doubtful, string? Reason);

/// <summary>What became of a farm's open messages that were all offered again; of those refused again, the first few.</summary>
public sealed record AllOfferedAnswer(
    string Farm,
    int Offered,
    int Stored,
    long Readings,
    int RefusedAgain,
    IReadOnlyList<OfferedAnswer> Examples
);

/// <summary>Why an open message is closed, and who says so.</summary>
public sealed record ClosingRequest(string? By, string? Because);
