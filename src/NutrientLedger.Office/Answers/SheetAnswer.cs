namespace NutrientLedger.Office.Answers;

/// <summary>
/// All that the live page shows of a farm, posted up to a journal position. <see cref="RegisterPlace"/> grows when fields, pits
/// or plans change, so that a reader knows when to ask for the fields again; the seasons are those that can be asked for.
/// </summary>
public sealed record SheetAnswer(
    string Farm,
    string Name,
    string TimeZone,
    int Season,
    IReadOnlyList<int> Seasons,
    long Position,
    long RegisterPlace,
    IReadOnlyList<BalanceAnswer> Fields,
    IReadOnlyList<PitAnswer> Pits,
    ElsewhereAnswer Elsewhere,
    IReadOnlyList<DeviceAnswer> Devices
);

/// <summary>What the meters counted in a season that is on no field.</summary>
public sealed record ElsewhereAnswer(
    double OutsideFieldsCubicMetres,
    double NotPlacedCubicMetres,
    double DisengagedCubicMetres,
    long UnknownIntervals
);
