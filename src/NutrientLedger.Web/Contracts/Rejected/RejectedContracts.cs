namespace NutrientLedger.Web.Contracts.Rejected;

/// <summary>
/// Rejected messages, newest first, and counts of those not kept. Next is the value of "after" for the next page; null
/// on the last page.
/// </summary>
internal sealed record RejectedListResponse(
    IReadOnlyList<RejectedMessageResponse> Rejected,
    long? Next,
    IReadOnlyList<NotKeptResponse> NotKept
);

/// <summary>
/// A rejected message, its reason and its state: "open", "stored" (by a retry) or "closed". Identical messages are one,
/// with first and last time and a count. Of a message that is too large only the first bytes are kept, with the SHA-256
/// of all; it is null otherwise.
/// </summary>
internal sealed record RejectedMessageResponse(
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
    string? ClosedReason,
    int BytesKept,
    string? Sha256
);

/// <summary>A rejected message with its bytes in Base64, and as text if they are UTF-8.</summary>
internal sealed record RejectedPayloadResponse(RejectedMessageResponse Message, string Base64, string? Text);

/// <summary>
/// Messages counted but not kept because a limit was reached. Farm is empty for all unregistered farms together,
/// Equipment for a whole farm.
/// </summary>
internal sealed record NotKeptResponse(
    string Farm,
    string Equipment,
    long Messages,
    long Bytes,
    DateTimeOffset FirstAt,
    DateTimeOffset LastAt,
    string Reason
);

/// <summary>The result of a retry: stored with a number of readings, or rejected again with the reason.</summary>
internal sealed record RetryResponse(
    long Id,
    bool Stored,
    int Readings,
    int Duplicates,
    int Questionable,
    string? Reason
);

/// <summary>The result of retrying all open messages of a farm. Examples are the first ones rejected again.</summary>
internal sealed record RetryAllResponse(
    string Farm,
    int Retried,
    int Stored,
    long Readings,
    int RejectedAgain,
    IReadOnlyList<RetryResponse> Examples
);

/// <summary>Who closes an open message, and why.</summary>
internal sealed record CloseRequest(string? By, string? Reason);
