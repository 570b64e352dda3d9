namespace NutrientLedger.Web.Contracts.Farms;

/// <summary>The farms this hub keeps ledgers for.</summary>
public sealed record FarmList(IReadOnlyList<FarmResponse> Farms);

/// <summary>
/// A farm: its own time zone (IANA name), when its crop year and its ledger begin, and the seasons with a plan.
/// </summary>
public sealed record FarmResponse(
    string Farm,
    string Name,
    string TimeZone,
    string SeasonBegins,
    DateOnly LedgerBegins,
    IReadOnlyList<int> PlannedSeasons
);

/// <summary>
/// The fields of a farm as the register had them at a journal position (the newest when none was asked for).
/// </summary>
public sealed record FieldList(string Farm, long? AsOf, IReadOnlyList<FieldResponse> Fields);

/// <summary>A field with its boundaries over time.</summary>
public sealed record FieldResponse(string Field, string Name, IReadOnlyList<BoundaryResponse> Boundaries);

/// <summary>
/// A boundary in force from a moment on: its area on the ellipsoid and its rings as closed lists of [longitude,
/// latitude] in degrees.
/// </summary>
public sealed record BoundaryResponse(
    DateTimeOffset From,
    double SquareMetres,
    IReadOnlyList<IReadOnlyList<double[]>> Rings
);
