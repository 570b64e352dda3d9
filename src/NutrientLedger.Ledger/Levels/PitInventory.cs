using System.Collections.Immutable;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Lines;
using NutrientLedger.Ledger.Meters;

namespace NutrientLedger.Ledger.Levels;

/// <summary>
/// The level of a pit in one hour and the volume by the pit's shape at the hour's last level. A level outside the shape
/// counts as empty or full, and is marked.
/// </summary>
public sealed record PitLevel(
    DateTimeOffset HourStart,
    DateTimeOffset LastMeasuredAt,
    double LastMetres,
    double LowestMetres,
    double HighestMetres,
    double MeanMetres,
    double VolumeCubicMetres,
    bool OutsideShape
);

/// <summary>
/// What an applicator's meter counted from a pit. It is a minimum when there are intervals of unknown volume.
/// </summary>
public sealed record DrawnByMeter(string ApplicatorId, double CubicMetres, long UnknownIntervals);

/// <summary>
/// A pit's stock by its level sensor beside the volume drawn from it by the applicators' meters. The two are measured
/// and shown separately. What the meters counted between readings that were received comes on top; it is null as of an
/// earlier position. The numbers of hours may count more than the levels that are held.
/// </summary>
public sealed record PitInventory(
    string PitId,
    ImmutableArray<PitLevel> Levels,
    ImmutableArray<DrawnByMeter> Drawn,
    MeteredBetween? Between,
    double FullMetres,
    double FullCubicMetres,
    int Hours,
    int HoursOutsideShape
)
{
    /// <summary>What all applicators' meters counted.</summary>
    public double DrawnCubicMetres => Drawn.Sum(drawn => drawn.CubicMetres);

    /// <summary>The newest level. Null when none was measured.</summary>
    public PitLevel? Latest => Levels.LastOrDefault();

    /// <summary>The newest volume as a part of the volume at full depth. Above 1 when filled beyond it.</summary>
    public double? ShareFull => FullCubicMetres > 0 ? Latest?.VolumeCubicMetres / FullCubicMetres : null;

    /// <summary>
    /// Makes the inventory from the pit's level hours, and from the lines and interruptions of the same time.
    /// </summary>
    public static PitInventory Of(
        FarmConfiguration configuration,
        PitRegistered pit,
        IEnumerable<(LevelKey Key, LevelHour Hour)> levels,
        IEnumerable<KeyValuePair<LineKey, LineAmounts>> lines,
        MeteredBetween? between
    )
    {
        ImmutableArray<PitLevel> series =
        [
            .. from level in levels
            where level.Key.PitId == pit.PitId
            orderby level.Key.HourStartSeconds
            select LevelOf(configuration, pit, level.Key, level.Hour),
        ];
        return new(
            pit.PitId,
            series,
            [.. DrawnFrom(configuration, pit.PitId, lines)],
            between,
            pit.FullDepthMillimetres / 1000.0,
            pit.Shape.VolumeCubicMetres(pit.FullDepthMillimetres),
            series.Length,
            series.Count(level => level.OutsideShape)
        );
    }

    private static PitLevel LevelOf(FarmConfiguration configuration, PitRegistered pit, LevelKey key, LevelHour hour) =>
        new(
            ToFarmTime(configuration, key.HourStartSeconds * 1000),
            ToFarmTime(configuration, hour.LastAtMilliseconds),
            hour.LastMillimetres / 1000.0,
            hour.LowestMillimetres / 1000.0,
            hour.HighestMillimetres / 1000.0,
            (double)hour.SumMillimetres / hour.Readings / 1000,
            pit.Shape.VolumeCubicMetres(hour.LastMillimetres),
            !pit.Shape.Reaches(hour.LowestMillimetres) || !pit.Shape.Reaches(hour.HighestMillimetres)
        );

    private static IEnumerable<DrawnByMeter> DrawnFrom(
        FarmConfiguration configuration,
        string pitId,
        IEnumerable<KeyValuePair<LineKey, LineAmounts>> lines
    ) =>
        from line in lines
        where line.Key.PitId == pitId
        group line by line.Key.ApplicatorId into metered
        orderby metered.Key
        let amounts = SpreadAmounts.Of(configuration, metered)
        select new DrawnByMeter(metered.Key, amounts.MeteredCubicMetres, amounts.UnknownIntervals);

    private static DateTimeOffset ToFarmTime(FarmConfiguration configuration, long milliseconds) =>
        configuration.Calendar?.ToFarmTime(milliseconds) ?? DateTimeOffset.FromUnixTimeMilliseconds(milliseconds);
}
