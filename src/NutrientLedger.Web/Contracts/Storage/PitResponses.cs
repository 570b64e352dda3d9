using NutrientLedger.Web.Contracts.Readings;

namespace NutrientLedger.Web.Contracts.Storage;

/// <summary>The pits of a farm with their newest levels, and what was drawn in one season.</summary>
internal sealed record PitList(string Farm, int? Season, long Position, IReadOnlyList<PitResponse> Pits);

/// <summary>
/// A pit: its content by its newest level and shape, and what the applicators' meters drew from it. The two are
/// measured and shown separately. Without a level the content is unknown. What meters counted between readings comes on
/// top; it is null as of an earlier position.
/// </summary>
internal sealed record PitResponse(
    string Pit,
    string Name,
    double FullDepthMetres,
    double FullVolumeCubicMetres,
    double? LevelMetres,
    DateTimeOffset? LevelMeasuredAt,
    double? VolumeCubicMetres,
    double? ShareFull,
    double DrawnByMeterCubicMetres,
    IReadOnlyList<DrawnResponse> Drawn,
    BetweenReadingsResponse? BetweenReadings,
    string? Note
);

/// <summary>What one applicator drew by its meter; a minimum when some intervals are unknown.</summary>
internal sealed record DrawnResponse(string Applicator, double CubicMetres, long UnknownIntervals);

/// <summary>A pit's hourly levels between two times, and what was drawn meanwhile.</summary>
internal sealed record InventoryResponse(
    string Farm,
    DateTimeOffset? From,
    DateTimeOffset? To,
    long Position,
    PitResponse Pit,
    IReadOnlyList<LevelResponse> Levels
);

/// <summary>
/// The level of one hour: last, lowest, highest and mean depth of liquid, and the volume at the last depth.
/// </summary>
internal sealed record LevelResponse(
    DateTimeOffset HourStart,
    DateTimeOffset LastMeasuredAt,
    double LastMetres,
    double LowestMetres,
    double HighestMetres,
    double MeanMetres,
    double VolumeCubicMetres,
    bool OutsideShape
);
