namespace NutrientLedger.Web.Contracts.Readings;

/// <summary>
/// Readings that look wrong beside the others; kind is "stuck", "spike" or "drift". A person who agrees can sign the
/// proposal and send it to /voids. It is null where a void would not help.
/// </summary>
internal sealed record FindingResponse(
    string Kind,
    string Measured,
    string Equipment,
    string Stream,
    long Boot,
    long FirstSeq,
    long LastSeq,
    DateTimeOffset From,
    DateTimeOffset To,
    string HowStrong,
    VoidRequest? Proposal
);

/// <summary>Findings in readings measured in a period, without its end, oldest first.</summary>
internal sealed record FindingList(
    string Farm,
    DateTimeOffset From,
    DateTimeOffset To,
    IReadOnlyList<FindingResponse> Findings
);
