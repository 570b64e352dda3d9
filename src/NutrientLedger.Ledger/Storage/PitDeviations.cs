using System.Text.Json;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Ledger.Storage;

/// <summary>
/// One standard deviation of a measurement, in the unit of default-deviations.json, and where it is known from.
/// </summary>
internal readonly record struct KnownDeviation(double Size, string KnownFrom);

/// <summary>
/// The error of a measurement at a pit that states none: the pit's own value in force at the period's start, else the
/// farm's, else the default.
/// </summary>
internal static class PitDeviations
{
    private const double Millionths = 1e6;

    public static KnownDeviation InForce(PitPeriod period, PitMeasurement of) =>
        Own(period, of, period.Pit.PitId) ?? Own(period, of, null) ?? Default(of);

    /// <summary>The value that comes with the hub.</summary>
    public static KnownDeviation Default(PitMeasurement of)
    {
        var known = DefaultDeviation.All[JsonNamingPolicy.KebabCaseLower.ConvertName(of.ToString())];
        return new(known.Value, known.KnownFrom);
    }

    private static KnownDeviation? Own(PitPeriod period, PitMeasurement of, string? pitId)
    {
        var inForce = period
            .Configuration.Recorded<DefaultDeviationsSet>()
            .Where(set => set.PitId == pitId && period.Configuration.Calendar!.StartOf(set.ValidFrom) <= period.From)
            .OrderBy(set => set.ValidFrom)
            .LastOrDefault();
        return inForce?.Deviations.FirstOrDefault(own => own.Of == of) is { } own
            ? new(own.Millionths / Millionths, $"the farm's own, from {own.KnownFrom}")
            : null;
    }
}
