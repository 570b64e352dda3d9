using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Ledger.Storage;

/// <summary>
/// What came into a pit and left it in a period besides what applicators drew by meter while their readings came.
/// </summary>
internal static class PitFlows
{
    private const long MillilitresInALitre = 1_000;

    public static IEnumerable<MeasuredVolume> Inflow(PitPeriod period)
    {
        foreach (var kind in Enum.GetValues<InflowKind>())
            if (PitInflow.Of(period, kind) is { } running)
                yield return running;
        if (PitWeather.Rain(period) is { } rain)
            yield return rain;
        var moved = period
            .Configuration.Recorded<PitTransferred>()
            .Where(moved => period.Holds(moved.MovedAt))
            .ToArray();
        foreach (
            var (transfer, place) in moved.Where(moved => moved.ToPitId == period.Pit.PitId).Select((m, i) => (m, i))
        )
            yield return Measured(
                period,
                $"transfer {place + 1} from {transfer.FromPitId}",
                transfer.VolumeMillilitres,
                transfer.Deviation,
                PitMeasurement.Transfer
            );
    }

    public static IEnumerable<MeasuredVolume> Outflow(PitPeriod period)
    {
        var pitId = period.Pit.PitId;
        var hauled = period.Configuration.Recorded<LoadsHauled>();
        foreach (
            var (loads, place) in hauled
                .Where(loads => loads.PitId == pitId && period.Holds(loads.HauledAt))
                .Select((loads, place) => (loads, place))
        )
            yield return Measured(
                period,
                $"hand loads {place + 1} (×{loads.Loads})",
                loads.Loads * loads.FillVolumeMillilitres * loads.ShareFilledThousandths / 1000.0,
                loads.Deviation,
                PitMeasurement.HandLoads
            );
        var moved = period
            .Configuration.Recorded<PitTransferred>()
            .Where(moved => period.Holds(moved.MovedAt))
            .ToArray();
        foreach (var (transfer, place) in moved.Where(moved => moved.FromPitId == pitId).Select((m, i) => (m, i)))
            yield return Measured(
                period,
                $"transfer {place + 1} to {transfer.ToPitId}",
                transfer.VolumeMillilitres,
                transfer.Deviation,
                PitMeasurement.Transfer
            );
        foreach (var between in PitInterruptions.Flows(period))
            yield return between;
        if (PitWeather.Evaporation(period) is { } evaporation)
            yield return evaporation;
    }

    internal static MeasuredVolume Measured(
        PitPeriod period,
        string measurement,
        double millilitres,
        StatedDeviation? stated,
        PitMeasurement of
    )
    {
        var inForce = PitDeviations.InForce(period, of);
        return new(
            measurement,
            Whole(millilitres),
            AtLeastALitre(stated?.Size ?? inForce.Size * Math.Abs(millilitres)),
            KnownFrom(stated, inForce)
        );
    }

    internal static string KnownFrom(StatedDeviation? stated, KnownDeviation inForce) =>
        stated?.Source switch
        {
            null => inForce.KnownFrom,
            DeviationSource.DataSheet => "stated: data sheet",
            DeviationSource.CommonPractice => "stated: common practice, no source",
            DeviationSource.EstimatedFromData => "stated: estimated from data",
            _ => "stated: judged by whoever measured",
        };

    internal static long Whole(double millilitres) => (long)Math.Round(millilitres, MidpointRounding.AwayFromZero);

    // Nothing is known without any error; a litre keeps a measured zero from counting as exact.
    internal static long AtLeastALitre(double millilitres) => Math.Max(MillilitresInALitre, Whole(millilitres));
}
