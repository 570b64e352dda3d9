using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Ledger;

/// <summary>What came into a pit and left it in a period besides what applicators drew by meter.</summary>
internal static class PitWaters
{
    private const long MillilitresInALitre = 1_000;

    public static IEnumerable<ToldVolume> Inflow(PitPeriod period)
    {
        foreach (var kind in Enum.GetValues<InflowKind>())
            if (Running(period, kind) is { } running)
                yield return running;
        if (Rain(period) is { } rain)
            yield return rain;
        var moved = period.Register.Recorded<PitTransferred>().Where(moved => period.Holds(moved.MovedAt)).ToArray();
        foreach (
            var (transfer, place) in moved.Where(moved => moved.ToPitId == period.Pit.PitId).Select((m, i) => (m, i))
        )
            yield return Told(
                period,
                $"transfer {place + 1} from {transfer.FromPitId}",
                transfer.VolumeMillilitres,
                transfer.Deviation,
                PitMeasurement.Transfer
            );
    }

    public static IEnumerable<ToldVolume> Outflow(PitPeriod period)
    {
        var pitId = period.Pit.PitId;
        var hauled = period.Register.Recorded<LoadsHauled>();
        foreach (
            var (loads, place) in hauled
                .Where(loads => loads.PitId == pitId && period.Holds(loads.HauledAt))
                .Select((loads, place) => (loads, place))
        )
            yield return Told(
                period,
                $"hand loads {place + 1} ({loads.Loads} loads)",
                loads.Loads * loads.FillVolumeMillilitres * loads.ShareFilledThousandths / 1000.0,
                loads.Deviation,
                PitMeasurement.HandLoads
            );
        var moved = period.Register.Recorded<PitTransferred>().Where(moved => period.Holds(moved.MovedAt)).ToArray();
        foreach (var (transfer, place) in moved.Where(moved => moved.FromPitId == pitId).Select((m, i) => (m, i)))
            yield return Told(
                period,
                $"transfer {place + 1} to {transfer.ToPitId}",
                transfer.VolumeMillilitres,
                transfer.Deviation,
                PitMeasurement.Transfer
            );
        if (Evaporation(period) is { } evaporation)
            yield return evaporation;
    }

    internal static ToldVolume Told(
        PitPeriod period,
        string witness,
        double millilitres,
        StatedDeviation? stated,
        PitMeasurement of
    )
    {
        var usual = PitDeviations.Usual(period, of);
        return new(
            witness,
            Whole(millilitres),
            stated?.Size ?? AtLeastALitre(usual.Size * Math.Abs(millilitres)),
            KnownFrom(stated, usual)
        );
    }

    internal static string KnownFrom(StatedDeviation? stated, KnownDeviation usual) =>
        stated?.Source switch
        {
            null => usual.KnownFrom,
            DeviationSource.DataSheet => "stated: data sheet",
            DeviationSource.CommonPractice => "stated: common practice, no source",
            DeviationSource.EstimatedFromData => "stated: estimated from data",
            _ => "stated: judged by whoever measured",
        };

    internal static long Whole(double millilitres) => (long)Math.Round(millilitres, MidpointRounding.AwayFromZero);

    // Nothing is known without any error; a litre keeps a measured nothing from being beyond all doubt.
    internal static long AtLeastALitre(double millilitres) => Math.Max(MillilitresInALitre, Whole(millilitres));

    // Measured stretches replace the daily figure while they last; the daily figure runs by the clock, so that a day of 23 or 25
    // hours brings that much less or more.
    private static ToldVolume? Running(PitPeriod period, InflowKind kind)
    {
        var witness = kind == InflowKind.Manure ? "manure inflow" : "wash water";
        var measured = period
            .Register.Recorded<PitInflowMeasured>()
            .Where(inflow => inflow.PitId == period.Pit.PitId && inflow.Kind == kind)
            .Where(inflow => period.Share(inflow.From, inflow.Until) > 0)
            .ToArray();
        var metered = measured.Sum(inflow => inflow.VolumeMillilitres * period.Share(inflow.From, inflow.Until));
        var counted = measured.Sum(inflow =>
            period.Shared(inflow.From.ToUnixTimeMilliseconds(), inflow.Until.ToUnixTimeMilliseconds())
        );
        var set = new Timeline<DailyInflowSet>(
            period
                .Register.Recorded<DailyInflowSet>()
                .Where(inflow => inflow.PitId == period.Pit.PitId && inflow.Kind == kind)
                .Select(inflow => (RegisterContents.Milliseconds(inflow.ValidFrom), inflow))
        );
        var (moment, daily, deviation) = (period.From, 0.0, (StatedDeviation?)null);
        while (moment < period.Until)
        {
            var next = Math.Min(period.Until, set.Until(moment));
            if (set.At(moment) is { } inForce)
            {
                daily += inForce.Animals * (double)inForce.MillilitresPerAnimalDay * (next - moment) / 86_400_000;
                deviation = inForce.Deviation;
            }
            moment = next;
        }
        daily *= 1 - Math.Min(1, counted / (double)(period.Until - period.From));
        if (metered + daily == 0)
            return null;
        return daily > metered
            ? Told(period, witness, metered + daily, Over(deviation, period.Days), PitMeasurement.DailyInflow)
            : Told(
                period,
                witness,
                metered + daily,
                measured.FirstOrDefault()?.Deviation,
                PitMeasurement.MeasuredInflow
            );
    }

    // A deviation stated for a day is the same error every day, so it grows with the days.
    private static StatedDeviation? Over(StatedDeviation? aDay, double days) =>
        aDay is null ? null : aDay with { Size = AtLeastALitre(aDay.Size * days) };

    private static ToldVolume? Rain(PitPeriod period)
    {
        var around = period.Surroundings;
        if (FallenRain.Micrometres(period.Rain, period.From, period.Until) is not { } fallen)
            return null;
        var ground =
            (around?.Covered == true ? 0 : period.Pit.Shape.RainCatchSquareMetres())
            + (around?.RunoffSquareMetres ?? 0) * (around?.RunoffShareThousandths ?? 0) / 1000.0;
        // One micrometre on one square metre is one millilitre.
        return ground == 0 ? null : Told(period, "rain", fallen * ground, null, PitMeasurement.Rain);
    }

    private static ToldVolume? Evaporation(PitPeriod period)
    {
        var level = period.Levels.MillimetresAt(period.From);
        var open =
            period.Surroundings?.Covered == true || level is null
                ? 0
                : period.Pit.Shape.OpenSurfaceSquareMetres((int)level.Value);
        if (open == 0)
            return null;
        var measured = period
            .Register.Recorded<EvaporationMeasured>()
            .Where(depth => depth.PitId == period.Pit.PitId && period.Share(depth.From, depth.Until) > 0)
            .ToArray();
        if (measured.Length > 0)
            return Told(
                period,
                "evaporation",
                open * measured.Sum(depth => depth.DepthMicrometres * period.Share(depth.From, depth.Until)),
                measured[0].Deviation is { } depth ? depth with { Size = AtLeastALitre(depth.Size * open) } : null,
                PitMeasurement.Evaporation
            );
        var usual = PitDeviations.Usual(period, PitMeasurement.EvaporationUnmeasured);
        return new(
            "evaporation (not measured)",
            0,
            AtLeastALitre(usual.Size * 1000 * open * period.Days),
            usual.KnownFrom
        );
    }
}
