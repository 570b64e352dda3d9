namespace NutrientLedger.Benchmarks;

/// <summary>
/// When the invented seasons are: ten years, the newest within the twelve months before now. Work begins on 13 April or
/// 13 October. It goes on every day from 14:00 to 24:00 UTC, which is one day of the farm.
/// </summary>
internal static class SeasonCalendar
{
    public const int SeasonsMax = 10;
    public const int ReadingsADay = 36_000;

    private const int WorkDaysMax = 30;
    private static readonly TimeSpan WorkBegins = TimeSpan.FromHours(14);
    private static readonly TimeSpan FarmDayBegins = TimeSpan.FromHours(5);

    /// <summary>The first day of work in the newest season.</summary>
    public static DateOnly NewestBegins { get; } = Newest(DateOnly.FromDateTime(DateTime.UtcNow));

    public static DateOnly LedgerBegins => FirstDay(SeasonsMax - 1).AddDays(-1);

    /// <summary>The name of the newest season, as the hub gives it.</summary>
    public static int NewestSeason => NewestBegins.Month >= 10 ? NewestBegins.Year + 1 : NewestBegins.Year;

    /// <summary>The first day of work, so many years before the newest season.</summary>
    public static DateOnly FirstDay(int yearsBefore) => NewestBegins.AddYears(-yearsBefore);

    /// <summary>A device starts once a day, so a day is a boot.</summary>
    public static long Boot(DateOnly day) => day.DayNumber;

    /// <summary>The time of the first reading of a day, in ms.</summary>
    public static long WorkBeginsMs(DateOnly day) => Ms(day, WorkBegins);

    /// <summary>The beginning of the farm's day, in ms.</summary>
    public static long FarmDayBeginsMs(DateOnly day) => Ms(day, FarmDayBegins);

    private static DateOnly Newest(DateOnly today)
    {
        var last = today.AddDays(-WorkDaysMax);
        return new[] { new DateOnly(last.Year, 10, 13), new(last.Year, 4, 13), new(last.Year - 1, 10, 13) }.First(day =>
            day <= last
        );
    }

    private static long Ms(DateOnly day, TimeSpan time) =>
        new DateTimeOffset(day.ToDateTime(TimeOnly.MinValue), TimeSpan.Zero).Add(time).ToUnixTimeMilliseconds();
}
