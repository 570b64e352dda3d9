using System.Text.Json;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Ledger.Storage;

/// <summary>
/// One standard deviation that a measurement usually has, in the unit of usual-deviations.json, and where it is known
/// from.
/// </summary>
public readonly record struct KnownDeviation(double Size, string KnownFrom);

/// <summary>
/// Which error a measurement at a pit is reckoned with where it states none: the pit's own figure in force at the
/// period's beginning, else the farm's, else the usual one.
/// </summary>
public static class PitDeviations
{
    private const double Millionths = 1e6;

    public static KnownDeviation Usual(PitPeriod period, PitMeasurement of) =>
        Own(period, of, period.Pit.PitId) ?? Own(period, of, null) ?? Usual(of);

    /// <summary>The figure that comes with the hub.</summary>
    public static KnownDeviation Usual(PitMeasurement of)
    {
        var usual = UsualDeviation.All[JsonNamingPolicy.KebabCaseLower.ConvertName(of.ToString())];
        return new(usual.Value, usual.KnownFrom);
    }

    private static KnownDeviation? Own(PitPeriod period, PitMeasurement of, string? pitId)
    {
        var inForce = period
            .Configuration.Recorded<UsualDeviationsSet>()
            .Where(set => set.PitId == pitId && period.Configuration.Calendar!.StartOf(set.ValidFrom) <= period.From)
            .OrderBy(set => set.ValidFrom)
            .LastOrDefault();
        return inForce?.Deviations.FirstOrDefault(own => own.Of == of) is { } own
            ? new(own.Millionths / Millionths, $"the farm's own, from {own.KnownFrom}")
            : null;
    }
}
