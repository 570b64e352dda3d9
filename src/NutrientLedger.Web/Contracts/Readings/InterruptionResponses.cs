namespace NutrientLedger.Web.Contracts.Readings;

/// <summary>
/// What meters counted between readings that were received: metered, not placed, and in no other sum. AtLeast says that
/// the volume of some interruptions is unknown. Either is the part that may belong to another season or pit; it counts
/// where it began.
/// </summary>
internal sealed record BetweenReadingsResponse(
    double CubicMetres,
    bool AtLeast,
    double EitherCubicMetres,
    int UnknownInterruptions,
    string? Note
);

/// <summary>All interruptions of a farm's meters, the newest first. All are counted and the newest listed.</summary>
internal sealed record InterruptionList(string Farm, int Count, IReadOnlyList<InterruptionResponse> Interruptions);

/// <summary>
/// Two readings of a meter that were received, with none received between them. CubicMetres ran between them; null if
/// the totals do not show it, and Change says why: noTotal, notCounted (a void reading or a questionable time), fall,
/// leap (more than can have run) or spike. TotalStep is the part of the change of the total that is no volume: a
/// roll-over, fall, leap or spike. LastSeason and further pits are those it may belong to as well.
/// </summary>
internal sealed record InterruptionResponse(
    string Applicator,
    string Change,
    double? CubicMetres,
    double TotalStepCubicMetres,
    InterruptionEnd Before,
    InterruptionEnd After,
    int Season,
    int LastSeason,
    IReadOnlyList<string?> Pits
);

/// <summary>The reading before or after an interruption.</summary>
internal sealed record InterruptionEnd(long Boot, long Seq, DateTimeOffset MeasuredAt, double? TotalCubicMetres);
