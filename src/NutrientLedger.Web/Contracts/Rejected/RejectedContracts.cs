namespace NutrientLedger.Web.Contracts.Rejected;

/// <summary>
/// Refused messages, newest first, and what was counted without being kept; "before" is the number to ask for next, or
/// nothing at the end of the list.
/// </summary>
public sealed record RejectedListResponse(
    IReadOnlyList<RejectedMessageResponse> Rejected,
    long? Next,
    IReadOnlyList<NotKeptResponse> NotKept
);

/// <summary>
/// A refused message, why it was refused, and how it stands: "open", "stored" (offered again with success) or "closed".
/// Identical messages are one, with first and last time and how often they came.
/// </summary>
public sealed record RejectedMessageResponse(
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
    DateTimeOffset? RetriedAt,
    DateTimeOffset? ClosedAt,
    string? ClosedBy,
    string? ClosedReason
);

/// <summary>A refused message with its bytes in Base64, and as text where they are UTF-8.</summary>
public sealed record RejectedPayloadResponse(RejectedMessageResponse Message, string Base64, string? Text);

/// <summary>
/// Messages that were counted and not kept because a limit was reached; the farm is empty for all that are not
/// registered, the sender for a whole farm.
/// </summary>
public sealed record NotKeptResponse(
    string Farm,
    string Equipment,
    long Messages,
    long Bytes,
    DateTimeOffset FirstAt,
    DateTimeOffset LastAt,
    string Reason
);

/// <summary>
/// What became of a message that was offered again: stored with so many readings, or refused again with the reason.
/// </summary>
public sealed record RetryResponse(
    long Id,
    bool Stored,
    int Readings,
    int Duplicates,
    int Questionable,
    string? Reason
);

/// <summary>
/// What became of a farm's open messages that were all offered again; of those refused again, the first few.
/// </summary>
public sealed record RetryAllResponse(
    string Farm,
    int Retried,
    int Stored,
    long Readings,
    int RejectedAgain,
    IReadOnlyList<RetryResponse> Examples
);

/// <summary>Why an open message is closed, and who says so.</summary>
public sealed record CloseRequest(string? By, string? Reason);
