using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Ledger.Fields;

/// <summary>
/// What one applicator spread on a field from one pit in one day (farm time), in the hours from first to last. The
/// method is the one recorded for the end of it. An empty pit id means that no source was recorded.
/// </summary>
public sealed record Application(
    DateOnly Day,
    string ApplicatorId,
    string PitId,
    DateTimeOffset FirstHour,
    DateTimeOffset LastHour,
    SpreadAmounts Spread,
    SpreadingMethodRecorded? Method
);

/// <summary>The applications on a field: its ledger lines grouped by day, machine and pit.</summary>
public static class Applications
{
    /// <summary>In order of day, applicator and pit. The lines may be those of the whole farm.</summary>
    public static IReadOnlyList<Application> On(
        FarmConfiguration configuration,
        IEnumerable<KeyValuePair<LineKey, LineAmounts>> lines,
        string fieldId,
        int season
    )
    {
        if (configuration.Calendar is not { } calendar)
            return [];
        return
        [
            .. from line in lines
            where line.Key.FieldId == fieldId && line.Key.Season == season && line.Value.Intervals > 0
            group line by (
                Day: calendar.DayAt(line.Key.HourStartSeconds * 1000),
                line.Key.ApplicatorId,
                line.Key.PitId
            ) into day
            orderby day.Key
            select Together(configuration, calendar, fieldId, day.Key, [.. day]),
        ];
    }

    private static Application Together(
        FarmConfiguration configuration,
        FarmCalendar calendar,
        string fieldId,
        (DateOnly Day, string ApplicatorId, string PitId) key,
        IReadOnlyCollection<KeyValuePair<LineKey, LineAmounts>> lines
    )
    {
        var spread = SpreadAmounts.Of(configuration, lines);
        return new(
            key.Day,
            key.ApplicatorId,
            key.PitId,
            calendar.ToFarmTime(lines.Min(line => line.Key.HourStartSeconds) * 1000),
            calendar.ToFarmTime(lines.Max(line => line.Key.HourStartSeconds) * 1000),
            spread,
            configuration.Method(key.ApplicatorId, fieldId, spread.Sums.LastMeasuredAtMilliseconds)
        );
    }
}
