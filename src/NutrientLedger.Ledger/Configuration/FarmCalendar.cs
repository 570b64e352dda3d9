using NutrientLedger.Agronomy;
using NutrientLedger.Journal.Fields;

namespace NutrientLedger.Ledger.Configuration;

/// <summary>
/// A farm's own time: its days, hours and seasons. Moments are milliseconds since 1970 (UTC) unless the name says
/// seconds.
/// </summary>
public sealed class FarmCalendar
{
    private const long HourSeconds = 3600;

    private readonly FarmRegistered farm;

    public FarmCalendar(FarmRegistered farm)
    {
        this.farm = farm;
        Zone = TimeZoneInfo.FindSystemTimeZoneById(farm.TimeZone);
        LedgerBeginsMilliseconds = StartOf(farm.LedgerBegins);
    }

    public TimeZoneInfo Zone { get; }

    /// <summary>00:00 farm time of the day the ledger begins. An earlier time is questionable.</summary>
    public long LedgerBeginsMilliseconds { get; }

    /// <summary>The farm's day at a moment.</summary>
    public DateOnly DayAt(long milliseconds) =>
        DateOnly.FromDateTime(DateTime.UnixEpoch.AddSeconds(Seconds(milliseconds) + OffsetSeconds(milliseconds)));

    /// <summary>
    /// 00:00 farm time of a day. Where the clock is put forward over midnight, the offset before the change holds.
    /// Where midnight comes twice, the first one counts.
    /// </summary>
    public long StartOf(DateOnly day)
    {
        // Offsets stay below 15 hours. So a day to either side of midnight as written lies safely before and after the
        // real one.
        var midnight = new DateTimeOffset(day.ToDateTime(TimeOnly.MinValue), TimeSpan.Zero).ToUnixTimeMilliseconds();
        var before = OffsetSeconds(midnight - 86_400_000);
        var after = OffsetSeconds(midnight + 86_400_000);
        var (first, second) = (midnight - before * 1000, midnight - after * 1000);
        return OffsetSeconds(first) != before && OffsetSeconds(second) == after ? second : first;
    }

    /// <summary>00:00 farm time of the day that holds a moment, in Unix seconds.</summary>
    public long DayStartSeconds(long milliseconds) => Seconds(StartOf(DayAt(milliseconds)));

    /// <summary>The start, in farm time, of the hour that holds a moment, in Unix seconds.</summary>
    public long HourStartSeconds(long milliseconds)
    {
        var seconds = Seconds(milliseconds);
        var farmSeconds = seconds + OffsetSeconds(milliseconds);
        return seconds - (farmSeconds - FloorDivision.Divide(farmSeconds, HourSeconds) * HourSeconds);
    }

    /// <summary>The season of a moment: the calendar year in which the crop year that holds it ends.</summary>
    public int SeasonAt(long milliseconds)
    {
        var day = DayAt(milliseconds);
        return day >= FirstDayOf(day.Year + 1) ? day.Year + 1 : day.Year;
    }

    /// <summary>The first day of a season. A 29 February is the 28th in years that lack it.</summary>
    public DateOnly FirstDayOf(int season)
    {
        var year = farm is { SeasonFirstMonth: 1, SeasonFirstDay: 1 } ? season : season - 1;
        var day = Math.Min(farm.SeasonFirstDay, DateTime.DaysInMonth(year, farm.SeasonFirstMonth));
        return new(year, farm.SeasonFirstMonth, day);
    }

    /// <summary>The moment a season ends, which is the first one of the next.</summary>
    public long EndOf(int season) => StartOf(FirstDayOf(season + 1));

    /// <summary>A moment as the farm's clock shows it, with its offset from UTC.</summary>
    public DateTimeOffset ToFarmTime(long milliseconds) =>
        TimeZoneInfo.ConvertTime(DateTimeOffset.FromUnixTimeMilliseconds(milliseconds), Zone);

    internal static long Seconds(long milliseconds) => FloorDivision.Divide(milliseconds, 1000);

    private long OffsetSeconds(long milliseconds) =>
        (long)Zone.GetUtcOffset(DateTimeOffset.FromUnixTimeMilliseconds(milliseconds)).TotalSeconds;
}
