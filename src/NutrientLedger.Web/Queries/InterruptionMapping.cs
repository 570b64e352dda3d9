using System.Text.Json;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Meters;
using NutrientLedger.Web.Contracts.Readings;
using NutrientLedger.Web.Wording;

namespace NutrientLedger.Web.Queries;

/// <summary>Maps what meters counted between readings to responses.</summary>
internal static class InterruptionMapping
{
    /// <summary>Max number of listed interruptions. All are counted.</summary>
    private const int Listed = 1_000;

    private const double MillilitresPerCubicMetre = 1e6;

    /// <summary>A sum; null where it is not known.</summary>
    public static BetweenReadingsResponse? Sum(MeteredBetween? between) =>
        between is null
            ? null
            : new(
                between.CubicMetres,
                between.Unknown > 0,
                between.EitherCubicMetres,
                between.Unknown,
                string.Join(' ', MeterWording.Of(between)) is { Length: > 0 } note ? note : null
            );

    public static InterruptionList List(
        string farmId,
        FarmConfiguration configuration,
        IReadOnlyCollection<MeterInterruption> interruptions
    ) =>
        new(
            farmId,
            interruptions.Count,
            [
                .. interruptions
                    .OrderByDescending(between => between.UntilMilliseconds)
                    .Take(Listed)
                    .Select(between => Of(configuration.Calendar!, between)),
            ]
        );

    private static InterruptionResponse Of(FarmCalendar calendar, MeterInterruption between) =>
        new(
            between.ApplicatorId,
            JsonNamingPolicy.CamelCase.ConvertName(between.Difference.Change.ToString()),
            between.Millilitres / MillilitresPerCubicMetre,
            between.Difference.StepMillilitres / MillilitresPerCubicMetre,
            End(calendar, between.Before),
            End(calendar, between.After),
            between.Season,
            between.LastSeason,
            [.. between.Pits.Select(pit => pit.Length > 0 ? pit : null)]
        );

    private static InterruptionEnd End(FarmCalendar calendar, MeterEnd end) =>
        new(
            end.Boot,
            end.Seq,
            calendar.ToFarmTime(end.AtMilliseconds),
            end.TotalMillilitres / MillilitresPerCubicMetre
        );
}
