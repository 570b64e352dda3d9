using NutrientLedger.Web.Contracts.Fields;
using NutrientLedger.Web.Contracts.Readings;
using NutrientLedger.Web.Contracts.Storage;

namespace NutrientLedger.Web.Contracts.Farms;

/// <summary>
/// All that the live page shows of a farm, as posted up to a journal position. <see cref="ConfigurationVersion"/> grows
/// with each configuration event, so that a client knows when to load the fields again. Seasons are those that can be
/// queried.
/// </summary>
internal sealed record SheetResponse(
    string Farm,
    string Name,
    string TimeZone,
    int Season,
    IReadOnlyList<int> Seasons,
    long Position,
    long ConfigurationVersion,
    IReadOnlyList<BalanceResponse> Fields,
    IReadOnlyList<PitResponse> Pits,
    ElsewhereResponse Elsewhere,
    IReadOnlyList<DeviceResponse> Devices
);

/// <summary>
/// Metered volumes of a season that are on no field. NotPlaced is of readings that were posted; BetweenReadings is not
/// posted and comes on top. InNoSpreadZones is the part of them spread inside no-spread zones;
/// null when there is none.
/// </summary>
internal sealed record ElsewhereResponse(
    double OutsideFieldsCubicMetres,
    double NotPlacedCubicMetres,
    double DisengagedCubicMetres,
    long UnknownIntervals,
    BetweenReadingsResponse BetweenReadings,
    NoSpreadZonesResponse? InNoSpreadZones
);
