namespace NutrientLedger.Web.Contracts.Readings;

/// <summary>
/// A decision about readings of one device and boot, by their numbers (both ends included), with who decides and why.
/// </summary>
internal interface IReadingRangeRequest
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
/// Readings to void: part is "reading", "composition", "total" or "level"; numbers include both ends.
/// </summary>
internal sealed record VoidRequest(
    string? Equipment,
    string? Stream,
    long? Boot,
    long? FirstSeq,
    long? LastSeq,
    string? Part,
    string? Reason,
    string? By
) : IReadingRangeRequest;

/// <summary>Who withdraws a void, and why.</summary>
internal sealed record VoidWithdrawalRequest(string? Reason, string? By);

/// <summary>
/// How to treat readings of questionable time: decision is "asMeasured", "shifted" (with a shift in ms) or "leftOut".
/// </summary>
internal sealed record QuestionableTimeDecisionRequest(
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

/// <summary>A void in force.</summary>
internal sealed record VoidResponse(
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

/// <summary>The voids in force on a farm, oldest first.</summary>
internal sealed record VoidList(string Farm, IReadOnlyList<VoidResponse> Voids);

/// <summary>
/// Readings of questionable time that wait for a decision. The estimated shift is right if readings were sent when
/// measured.
/// </summary>
internal sealed record QuestionableTimeResponse(
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

/// <summary>Questionable times of a farm that wait for a decision, in the order of arrival.</summary>
internal sealed record QuestionableTimeList(string Farm, IReadOnlyList<QuestionableTimeResponse> QuestionableTimes);

/// <summary>What was recorded. Balances follow when the correction is posted.</summary>
internal sealed record RecordedResponse(string Farm, long ConfigurationVersion, string? Id);
