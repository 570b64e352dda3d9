namespace NutrientLedger.Web.Contracts.Farms;

/// <summary>
/// The statements of a farm's corrections after a position, in journal order. Next is the value of "after" for the next
/// page; null on the last page.
/// </summary>
internal sealed record StatementList(string Farm, IReadOnlyList<StatementResponse> Statements, long? Next);

/// <summary>
/// What a correction was and changed. Its whole statement has the address of its position. The texts use the farm's
/// time; WhatUs has US customary units, WhatMetric kg/m³ and %.
/// </summary>
internal sealed record StatementResponse(
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
