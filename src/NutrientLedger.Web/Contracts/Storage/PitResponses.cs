namespace NutrientLedger.Web.Contracts.Storage;

/// <summary>The pits of a farm with their newest levels; what was drawn is that of one season.</summary>
public sealed record PitList(string Farm, int? Season, long Position, IReadOnlyList<PitResponse> Pits);

/// <summary>
/// A pit: what is in it by its newest level and shape, and what the applicators' meters counted out of it. The two are
/// measured apart and shown apart; without a level the pit's content is not known.
/// </summary>
public sealed record PitResponse(
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
    string? Note
);

/// <summary>What one applicator drew by its meter; at least this much when some intervals cannot be known.</summary>
public sealed record DrawnResponse(string Applicator, double CubicMetres, long UnknownIntervals);

/// <summary>A pit's levels hour by hour between two moments, with what was drawn in them.</summary>
public sealed record InventoryResponse(
    string Farm,
    DateTimeOffset? From,
    DateTimeOffset? To,
    long Position,
    PitResponse Pit,
    IReadOnlyList<LevelResponse> Levels
);

/// <summary>
/// The level of one hour: last, lowest, highest and mean depth of liquid, and the volume at the last.
/// </summary>
public sealed record LevelResponse(
    DateTimeOffset HourStart,
    DateTimeOffset LastMeasuredAt,
    double LastMetres,
    double LowestMetres,
    double HighestMetres,
    double MeanMetres,
    double VolumeCubicMetres,
    bool OutsideShape
);
