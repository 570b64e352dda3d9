using NutrientLedger.Agronomy;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Posting;

/// <summary>
/// All that the configuration holds on one applicator for a short while: its lines' season, hour, pit and sensor, its
/// tiles' day, and the maps of fields and no-spread zones. Readings follow each other closely, so it is resolved once
/// and holds for hundreds of them.
/// </summary>
internal sealed record PostingContext(
    long FromMilliseconds,
    long UntilMilliseconds,
    int Season,
    long DayStartSeconds,
    long HourStartSeconds,
    string PitId,
    SensorMounted? Sensor,
    FieldMap? Fields,
    ZoneMap? Zones,
    FlagRules Flags
)
{
    // Clocks are set, and offsets differ, by whole quarters of an hour. Within one the hour, day and season stay the
    // same.
    private const long QuarterHour = 900_000;

    public bool Holds(long milliseconds) => milliseconds >= FromMilliseconds && milliseconds < UntilMilliseconds;

    public static PostingContext At(
        ConfigurationIndex configuration,
        FarmCalendar calendar,
        string applicatorId,
        long milliseconds
    )
    {
        var sources = configuration.Sources.GetValueOrDefault(applicatorId);
        var sensors = configuration.SpreadingSensors.GetValueOrDefault(applicatorId);
        var maps = configuration.FieldMaps;
        var zones = configuration.ZoneMaps;
        var ownLimits = configuration.Limits.GetValueOrDefault(applicatorId);
        var farmLimits = configuration.Limits.GetValueOrDefault("");
        var quarter = FloorDivision.Divide(milliseconds, QuarterHour) * QuarterHour;
        long[] since =
        [
            quarter,
            maps.Since(milliseconds),
            zones.Since(milliseconds),
            sources?.Since(milliseconds) ?? quarter,
            sensors?.Since(milliseconds) ?? quarter,
            ownLimits?.Since(milliseconds) ?? quarter,
            farmLimits?.Since(milliseconds) ?? quarter,
        ];
        long[] until =
        [
            quarter + QuarterHour,
            maps.Until(milliseconds),
            zones.Until(milliseconds),
            sources?.Until(milliseconds) ?? long.MaxValue,
            sensors?.Until(milliseconds) ?? long.MaxValue,
            ownLimits?.Until(milliseconds) ?? long.MaxValue,
            farmLimits?.Until(milliseconds) ?? long.MaxValue,
        ];
        return new(
            since.Max(),
            until.Min(),
            calendar.SeasonAt(milliseconds),
            calendar.DayStartSeconds(milliseconds),
            calendar.HourStartSeconds(milliseconds),
            sources?.At(milliseconds)?.PitId ?? "",
            sensors?.At(milliseconds),
            maps.At(milliseconds),
            zones.At(milliseconds),
            new(ownLimits?.At(milliseconds) ?? farmLimits?.At(milliseconds))
        );
    }
}
