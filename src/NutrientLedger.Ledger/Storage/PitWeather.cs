using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Weather;

namespace NutrientLedger.Ledger.Storage;

/// <summary>What the sky brought into a pit and the air took out of it.</summary>
internal static class PitWeather
{
    /// <summary>The name of evaporation that was not measured.</summary>
    public const string EvaporationUnmeasured = "evaporation (not measured)";

    // One micrometre on one square metre is one millilitre.
    private const double MicrometresInAMillimetre = 1_000;

    public static MeasuredVolume? Rain(PitPeriod period)
    {
        var around = period.Surroundings;
        if (FallenRain.Micrometres(period.Rain, period.From, period.Until) is not { } fallen)
            return null;
        var ground =
            (around?.Covered == true ? 0 : period.Pit.Shape.RainCatchSquareMetres())
            + (around?.RunoffSquareMetres ?? 0) * (around?.RunoffShareThousandths ?? 0) / 1000.0;
        return ground == 0 ? null : PitFlows.Measured(period, "rain", fallen * ground, null, PitMeasurement.Rain);
    }

    /// <summary>
    /// Evaporation as measured. Where it was not measured it is assumed zero, with the default error, because formulas
    /// from temperature, humidity and wind hold only where they were calibrated (V. P. Singh and C.-Y. Xu, Hydrological
    /// Processes 11, 1997, p. 311, abstract). Null under a cover, or where no level gives the open surface.
    /// </summary>
    public static MeasuredVolume? Evaporation(PitPeriod period)
    {
        var level = period.Levels.MillimetresAt(period.From);
        var open =
            period.Surroundings?.Covered == true || level is null
                ? 0
                : period.Pit.Shape.OpenSurfaceSquareMetres((int)level.Value);
        if (open == 0)
            return null;
        var (sum, measuredDays) = (new MeasuredVolumeSum(period), 0.0);
        foreach (
            var depth in period.Configuration.Recorded<EvaporationMeasured>().Where(it => it.PitId == period.Pit.PitId)
        )
            if (period.Share(depth.From, depth.Until) is > 0 and var share)
            {
                sum.Add(
                    open * depth.DepthMicrometres * share,
                    PitMeasurement.Evaporation,
                    depth.Deviation,
                    open * share
                );
                measuredDays += (depth.Until - depth.From).TotalDays * share;
            }
        var inForce = PitDeviations.InForce(period, PitMeasurement.EvaporationUnmeasured);
        var leftDays = Math.Max(0, period.Days - measuredDays);
        if (leftDays > 0)
            sum.AddUnmeasured(inForce.Size * MicrometresInAMillimetre * open * leftDays, inForce.KnownFrom);
        return sum.Total(measuredDays > 0 ? "evaporation" : EvaporationUnmeasured);
    }
}
