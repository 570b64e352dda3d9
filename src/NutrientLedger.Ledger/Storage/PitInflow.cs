using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Storage;

/// <summary>What ran into a pit besides rain: measured, or so much a day.</summary>
internal static class PitInflow
{
    private const double DayMilliseconds = 86_400_000;

    /// <summary>
    /// Measured stretches replace the daily amount while they last; the daily amount runs by the clock, so that a day
    /// of 23 or 25 hours brings that much less or more. Nothing when nothing ran in.
    /// </summary>
    public static MeasuredVolume? Of(PitPeriod period, InflowKind kind)
    {
        var measured = period
            .Configuration.Recorded<PitInflowMeasured>()
            .Where(inflow => inflow.PitId == period.Pit.PitId && inflow.Kind == kind)
            .Where(inflow => period.Share(inflow.From, inflow.Until) > 0)
            .ToArray();
        var sum = new MeasuredVolumeSum(period);
        foreach (var inflow in measured)
        {
            var share = period.Share(inflow.From, inflow.Until);
            sum.Add(inflow.VolumeMillilitres * share, PitMeasurement.MeasuredInflow, inflow.Deviation, share);
        }
        var set = new Timeline<DailyInflowSet>(
            period
                .Configuration.Recorded<DailyInflowSet>()
                .Where(inflow => inflow.PitId == period.Pit.PitId && inflow.Kind == kind)
                .Select(inflow => (ConfigurationIndex.Milliseconds(inflow.ValidFrom), inflow))
        );
        for (var moment = period.From; moment < period.Until; moment = set.Until(moment))
            if (set.At(moment) is { } inForce)
            {
                var stretch = period with { From = moment, Until = Math.Min(period.Until, set.Until(moment)) };
                var days =
                    stretch.Days - measured.Sum(inflow => stretch.Shared(inflow.From, inflow.Until)) / DayMilliseconds;
                // A deviation stated for a day is the same error every day, so it grows with the days.
                if (days > 0)
                    sum.Add(
                        inForce.Animals * (double)inForce.MillilitresPerAnimalDay * days,
                        PitMeasurement.DailyInflow,
                        inForce.Deviation,
                        days
                    );
            }
        return sum.Total(kind == InflowKind.Manure ? "manure inflow" : "wash water") is { Millilitres: > 0 } volume
            ? volume
            : null;
    }
}
