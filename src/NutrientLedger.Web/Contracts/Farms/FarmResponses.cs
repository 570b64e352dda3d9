namespace NutrientLedger.Web.Contracts.Farms;

/// <summary>The farms of this hub.</summary>
internal sealed record FarmList(IReadOnlyList<FarmResponse> Farms);

/// <summary>
/// A farm: its time zone (IANA name), the begin of its crop year (MM-dd) and ledger, and the seasons with a plan.
/// </summary>
internal sealed record FarmResponse(
    string Farm,
    string Name,
    string TimeZone,
    string SeasonBegins,
    DateOnly LedgerBegins,
    IReadOnlyList<int> PlannedSeasons
);

/// <summary>The fields of a farm as of a journal position; the newest by default.</summary>
internal sealed record FieldList(string Farm, long? AsOf, IReadOnlyList<FieldResponse> Fields);

/// <summary>A field and its boundaries over time.</summary>
internal sealed record FieldResponse(string Field, string Name, IReadOnlyList<BoundaryResponse> Boundaries);

/// <summary>
/// A boundary and from when it is in force. The area is on the ellipsoid. Rings are closed lists of [longitude,
/// latitude] in degrees.
/// </summary>
internal sealed record BoundaryResponse(
    DateTimeOffset From,
    double SquareMetres,
    IReadOnlyList<IReadOnlyList<double[]>> Rings
);
