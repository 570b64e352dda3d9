using System.Globalization;
using System.Text.Json;

namespace NutrientLedger.Json;

/// <summary>Reads days, moments and time zones from a hand-written JSON file. Years run from 2000 to 2199.</summary>
public static class JsonTimes
{
    private const int FirstYear = 2000;
    private const int LastYear = 2199;

    private static readonly string[] Moments =
    [
        "yyyy-MM-ddTHH:mm:ssK",
        "yyyy-MM-ddTHH:mmK",
        "yyyy-MM-ddTHH:mm:ss.fffK",
    ];

    /// <summary>
    /// A day such as 2025-10-01. When the property is left out, the result is <paramref name="whenLeftOut"/>; without
    /// that, the day is required.
    /// </summary>
    public static DateOnly Day(this JsonObjectReader source, string property, DateOnly? whenLeftOut = null)
    {
        var value = whenLeftOut is null ? source.Required(property) : source.Optional(property);
        if (value is null)
            return whenLeftOut ?? default;
        if (
            value.Kind == JsonTokenType.String
            && DateOnly.TryParseExact(
                value.Text,
                "yyyy-MM-dd",
                CultureInfo.InvariantCulture,
                DateTimeStyles.None,
                out var day
            )
            && day.Year is >= FirstYear and <= LastYear
        )
            return day;
        source.AddProblem(property, $"\"{property}\" must be a day written like 2025-10-01, not {value.KindInWords}.");
        return whenLeftOut ?? default;
    }

    /// <summary>A moment with its offset from UTC, such as 2025-10-01T00:00:00-05:00. The result is in UTC.</summary>
    public static DateTimeOffset Moment(this JsonObjectReader source, string property)
    {
        if (source.Required(property) is not { } value)
            return default;
        if (
            value.Kind == JsonTokenType.String
            && (value.Text.EndsWith('Z') || value.Text.LastIndexOfAny(['+', '-']) > "yyyy-MM-dd".Length)
            && DateTimeOffset.TryParseExact(
                value.Text,
                Moments,
                CultureInfo.InvariantCulture,
                DateTimeStyles.None,
                out var moment
            )
            && moment.Year is >= FirstYear and <= LastYear
        )
            return moment.ToUniversalTime();
        source.AddProblem(
            property,
            $"\"{property}\" must be a moment with its offset from UTC, written like 2025-10-01T00:00:00-05:00, not {value.KindInWords}."
        );
        return default;
    }

    /// <summary>A day that exists in every year, such as 10-01.</summary>
    public static (int Month, int Day) DayOfYear(this JsonObjectReader source, string property)
    {
        if (source.Required(property) is not { } value)
            return default;
        // 2001 has no 29 February. So a crop year cannot begin on a day that most years lack.
        if (
            value.Kind == JsonTokenType.String
            && DateOnly.TryParseExact(
                $"2001-{value.Text}",
                "yyyy-MM-dd",
                CultureInfo.InvariantCulture,
                DateTimeStyles.None,
                out var day
            )
        )
            return (day.Month, day.Day);
        source.AddProblem(
            property,
            $"\"{property}\" must be a month and day that every year has, written like 10-01, not {value.KindInWords}."
        );
        return default;
    }

    /// <summary>An IANA time zone name that this machine knows.</summary>
    public static string TimeZone(this JsonObjectReader source, string property)
    {
        var name = source.Text(property);
        if (name.Length == 0 || (TimeZoneInfo.TryFindSystemTimeZoneById(name, out var zone) && zone.HasIanaId))
            return name;
        source.AddProblem(
            property,
            $"\"{property}\" is \"{name}\", which is not a time zone that this machine knows; write an IANA name like America/Chicago."
        );
        return name;
    }
}
