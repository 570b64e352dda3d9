using NutrientLedger.Web.Contracts.Fields;
using NutrientLedger.Web.Contracts.Readings;
using NutrientLedger.Web.Contracts.Storage;

namespace NutrientLedger.Web.Contracts.Farms;

/// <summary>
/// All that the live page shows of a farm, posted up to a journal position. <see cref="ConfigurationVersion"/> grows
/// when fields, pits or plans change, so that a reader knows when to ask for the fields again; the seasons are those
/// that can be asked for.
/// </summary>
public sealed record SheetResponse(
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

/// <summary>What the meters counted in a season that is on no field.</summary>
public sealed record ElsewhereResponse(
    double OutsideFieldsCubicMetres,
    double NotPlacedCubicMetres,
    double DisengagedCubicMetres,
    long UnknownIntervals
);
