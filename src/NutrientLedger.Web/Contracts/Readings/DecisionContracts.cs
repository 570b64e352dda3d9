namespace NutrientLedger.Web.Contracts.Readings;

/// <summary>
/// What is asked about readings of one sender and boot, by their numbers, both ends included; who asks it and why.
/// </summary>
public interface IReadingRangeRequest
{
    string? Equipment { get; }

    string? Stream { get; }

    long? Boot { get; }

    long? FirstSeq { get; }

    long? LastSeq { get; }

    string? Reason { get; }

    string? By { get; }
}

/// <summary>
/// Readings that a person wants void: part is "reading", "composition" or "level"; numbers include both ends.
/// </summary>
public sealed record VoidRequest(
    string? Equipment,
    string? Stream,
    long? Boot,
    long? FirstSeq,
    long? LastSeq,
    string? Part,
    string? Reason,
    string? By
) : IReadingRangeRequest;

/// <summary>Who takes a voiding back, and why.</summary>
public sealed record VoidWithdrawalRequest(string? Reason, string? By);

/// <summary>
/// How readings in doubt are to be read: decision is "asMeasured", "shifted" (then with a shift in ms) or "leftOut".
/// </summary>
public sealed record QuestionableTimeDecisionRequest(
    string? Equipment,
    string? Stream,
    long? Boot,
    long? FirstSeq,
    long? LastSeq,
    string? Decision,
    long? ShiftMilliseconds,
    string? Reason,
    string? By
) : IReadingRangeRequest;

/// <summary>A voiding in force.</summary>
public sealed record VoidResponse(
    string Id,
    string Equipment,
    string Stream,
    long Boot,
    long FirstSeq,
    long LastSeq,
    string Part,
    string Reason,
    string By
);

/// <summary>The voidings in force on a farm, oldest first.</summary>
public sealed record VoidList(string Farm, IReadOnlyList<VoidResponse> Voids);

/// <summary>
/// Readings in doubt that wait for a decision; the shift estimated is right for readings that were sent as they were
/// measured.
/// </summary>
public sealed record QuestionableTimeResponse(
    string Equipment,
    string Stream,
    long Boot,
    long FirstSeq,
    long LastSeq,
    DateTimeOffset ClaimedFrom,
    DateTimeOffset ClaimedTo,
    DateTimeOffset RecordedAt,
    long EstimatedShiftMilliseconds
);

/// <summary>What waits for a decision on a farm, in the order of arrival.</summary>
public sealed record QuestionableTimeList(string Farm, IReadOnlyList<QuestionableTimeResponse> QuestionableTimes);

/// <summary>What was recorded; balances follow as soon as the ledger is posted anew.</summary>
public sealed record RecordedResponse(string Farm, long ConfigurationVersion, string? Id);
