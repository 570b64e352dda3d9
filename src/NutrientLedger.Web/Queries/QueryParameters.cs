using System.Globalization;
using Microsoft.AspNetCore.Http.HttpResults;
using NutrientLedger.Web.Http;

namespace NutrientLedger.Web.Queries;

/// <summary>Reads times, seasons and positions from a query string.</summary>
internal static class QueryParameters
{
    private const int SeasonMin = 2000;
    private const int SeasonMax = 2199;

    /// <summary>The season of a text, 2000 to 2199; null if it is none.</summary>
    public static int? Season(string? season) =>
        int.TryParse(season, NumberStyles.None, CultureInfo.InvariantCulture, out var year)
        && year is >= SeasonMin and <= SeasonMax
            ? year
            : null;

    /// <summary>The problem of an invalid season; null if it is valid.</summary>
    public static ProblemHttpResult? BadSeason(string? season) =>
        season is null || Season(season) is not null
            ? null
            : ApiProblem.BadValue(
                "season",
                season,
                "Write the year in which the crop year ends, such as 2026. Leave it out for the latest season."
            );

    /// <summary>A journal position that <see cref="FarmQuery"/> has accepted, or null.</summary>
    public static long? Position(string? asOf) => asOf is null ? null : long.Parse(asOf, CultureInfo.InvariantCulture);

    /// <summary>The problem of an invalid time; null if it is valid.</summary>
    public static ProblemHttpResult? BadMoment(string name, string? moment) =>
        moment is null || Moment(moment) is not null
            ? null
            : ApiProblem.BadValue(
                name,
                moment,
                "Write a time in UTC, such as 2026-04-21T14:00:00Z, or with an offset (write + as %2B)."
            );

    public static DateTimeOffset? Moment(string? moment) =>
        DateTimeOffset.TryParse(
            moment,
            CultureInfo.InvariantCulture,
            DateTimeStyles.AssumeUniversal | DateTimeStyles.AdjustToUniversal,
            out var read
        )
            ? read
            : null;
}
