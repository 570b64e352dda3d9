namespace NutrientLedger.Web.Contracts.Farms;

/// <summary>
/// The statements of a farm's corrections after a position, in the order of the journal; next is the position to ask
/// after for more, nothing when these were the last.
/// </summary>
public sealed record StatementList(string Farm, IReadOnlyList<StatementResponse> Statements, long? Next);

/// <summary>
/// What a correction was and whether it changed anything; the whole statement is under its position. What, by, reason
/// and summary are written when asked, by the farm's clock; WhatUs in US customary units, WhatMetric in kg/m³ and %.
/// </summary>
public sealed record StatementResponse(
    long Position,
    DateTimeOffset RecordedAt,
    DateTimeOffset MadeAt,
    string Kind,
    string? Id,
    string WhatUs,
    string WhatMetric,
    string? By,
    string? Reason,
    string Summary,
    IReadOnlyList<string> Fields
);
