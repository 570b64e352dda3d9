namespace NutrientLedger.Web.Contracts.Readings;

/// <summary>
/// Readings that look wrong in their company: kind is "stuck", "spike" or "drift". The proposal can be sent to /voids
/// once a person agrees and signs it; it is left out where voiding would not help.
/// </summary>
public sealed record FindingResponse(
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

/// <summary>What was found in the readings measured from one moment to before another, oldest first.</summary>
public sealed record FindingList(
    string Farm,
    DateTimeOffset From,
    DateTimeOffset To,
    IReadOnlyList<FindingResponse> Findings
);
