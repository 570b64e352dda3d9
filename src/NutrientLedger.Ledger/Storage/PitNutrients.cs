using System.Collections.Immutable;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Ledger.Storage;

/// <summary>
/// One nutrient (elemental) of a pit and a period: its mean content where it was measured (kg/m³), what was drawn by
/// the meters and by the reconciled volume, and what the unexplained volume held, in kg. Nothing where no content was
/// measured.
/// </summary>
public sealed record DrawnNutrient(
    string Name,
    double? MeanKilogramsPerCubicMetre,
    double? ByMeterKilograms,
    double? ReconciledKilograms,
    double? UnexplainedKilograms
);

/// <summary>
/// A nutrient in the pit at the period's end, by the content last measured while drawing from it; moment of that
/// measurement (Unix milliseconds) and its age at the end.
/// </summary>
public sealed record StoredNutrient(string Name, double Kilograms, long MeasuredAtMilliseconds, double AgeDays);

/// <summary>
/// Nutrient masses that follow from a pit's volumes and the contents measured on the way to the fields, as the
/// calibrations in force make them.
/// </summary>
internal static class PitNutrients
{
    private const double DayMilliseconds = 86_400_000;

    private static readonly ImmutableArray<(string Name, Func<SpreadAmounts, NutrientAmount> Of)> Nutrients =
    [
        ("total N", amounts => amounts.TotalNitrogen),
        ("ammonium N", amounts => amounts.AmmoniumNitrogen),
        ("P", amounts => amounts.Phosphorus),
        ("K", amounts => amounts.Potassium),
    ];

    /// <summary>
    /// Each applicator's content stands for all that its meter counted; the mean of all stands for what nobody
    /// explains.
    /// </summary>
    public static ImmutableArray<DrawnNutrient> Drawn(PitPeriod period, PitReconciliation reconciliation)
    {
        var applicators = period
            .Drawn.GroupBy(line => line.Key.ApplicatorId)
            .Select(lines =>
                (
                    Amounts: SpreadAmounts.Of(period.Configuration, lines),
                    Reconciled: reconciliation.BestEstimate(ReconciledPitPeriod.MeterName(lines.Key))
                )
            )
            .ToArray();
        var whole = SpreadAmounts.Of(period.Configuration, period.Drawn);
        return
        [
            .. Nutrients.Select(nutrient =>
            {
                var mean = nutrient.Of(whole).MeanKilogramsPerCubicMetre;
                double? Content(SpreadAmounts amounts) => nutrient.Of(amounts).MeanKilogramsPerCubicMetre ?? mean;
                return new DrawnNutrient(
                    nutrient.Name,
                    mean,
                    Together(applicators.Select(it => Content(it.Amounts) * it.Amounts.MeteredCubicMetres)),
                    Together(applicators.Select(it => Content(it.Amounts) * it.Reconciled)),
                    mean * reconciliation.Input.UnexplainedMillilitres / 1e6
                );
            }),
        ];
    }

    // A sum with a part that nobody knows is not known.
    private static double? Together(IEnumerable<double?> parts) =>
        parts.Aggregate((double?)0, (sum, part) => sum + part);

    /// <summary>Nutrients at the end of the period, where a level and a content are known.</summary>
    public static ImmutableArray<StoredNutrient> Stored(PitPeriod period)
    {
        if (period.Levels.MillimetresAt(period.Until) is not { } level)
            return [];
        var cubicMetres = period.MillilitresAt(level) / 1e6;
        var lines = period
            .Lines.Where(line => line.Key.PitId == period.Pit.PitId)
            .Where(line => line.Value.Intervals > 0 && line.Value.LastMeasuredAtMilliseconds < period.Until)
            .ToArray();
        var stored = ImmutableArray.CreateBuilder<StoredNutrient>();
        foreach (var (name, of) in Nutrients)
        {
            var measured = lines
                .Where(line =>
                    of(SpreadAmounts.Of(period.Configuration, [line])).MeanKilogramsPerCubicMetre is not null
                )
                .ToArray();
            if (measured.Length == 0)
                continue;
            var newest = measured.Max(line => line.Value.LastMeasuredAtMilliseconds);
            var lastDay = measured.Where(line => newest - line.Value.LastMeasuredAtMilliseconds < DayMilliseconds);
            var content = of(SpreadAmounts.Of(period.Configuration, lastDay)).MeanKilogramsPerCubicMetre!.Value;
            stored.Add(new(name, content * cubicMetres, newest, (period.Until - newest) / DayMilliseconds));
        }
        return stored.ToImmutable();
    }
}
