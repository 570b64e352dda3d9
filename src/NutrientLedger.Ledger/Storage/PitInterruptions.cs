using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Meters;

namespace NutrientLedger.Ledger.Storage;

/// <summary>
/// What meters counted from a pit between readings that were received. It left the pit, so it is a flow of its own in
/// the balance.
/// </summary>
internal static class PitInterruptions
{
    /// <summary>The name of such a flow among the measurements.</summary>
    public static string NameOf(string applicatorId) =>
        $"{ReconciledPitPeriod.MeterName(applicatorId)} between readings";

    /// <summary>
    /// One flow for each applicator. Nobody knows when in an interruption the volume V ran. With a part p of its time
    /// in the period, p·V counts there. Its variance is p·(1 − p)·V², that of a volume that ran at once at any moment
    /// (Bernoulli; no other way of running has a larger one).
    /// </summary>
    public static IEnumerable<MeasuredVolume> Flows(PitPeriod period) =>
        from between in Drawn(period)
        group between by between.ApplicatorId into applicator
        let expected = Expected(applicator, period.From, period.Until)
        let measured = PitFlows.Measured(
            period,
            NameOf(applicator.Key),
            expected.Millilitres,
            null,
            PitMeasurement.FlowMeter
        )
        let deviation = Math.Sqrt(Math.Pow(measured.DeviationMillilitres, 2) + expected.Variance)
        select measured with
        {
            SharesAMeter = true,
            DeviationMillilitres = PitFlows.AtLeastALitre(deviation),
            KnownFrom = expected.Variance > 0 ? $"{measured.KnownFrom}; when it ran is unknown" : measured.KnownFrom,
        };

    /// <summary>What ran from this pit and no other, at least partly in the period.</summary>
    public static IEnumerable<MeterInterruption> Drawn(PitPeriod period) =>
        Touching(period)
            .Where(between => between is { Millilitres: > 0, HasOnePit: true } && between.Pits[0] == period.Pit.PitId);

    /// <summary>What ran without a recorded source, at least partly in the period.</summary>
    public static IEnumerable<MeterInterruption> FromNoPit(PitPeriod period) =>
        Touching(period)
            .Where(between => between is { Millilitres: > 0, HasOnePit: true } && between.Pits[0].Length == 0);

    /// <summary>Interruptions that lie at least partly in the period.</summary>
    public static IEnumerable<MeterInterruption> Touching(PitPeriod period) =>
        period.Interruptions?.Where(between => between.Share(period.From, period.Until) > 0) ?? [];

    /// <summary>What is expected to have run from one moment up to another, in mL, and its variance.</summary>
    public static (double Millilitres, double Variance) Expected(
        IEnumerable<MeterInterruption> interruptions,
        long from,
        long until
    ) =>
        interruptions.Aggregate(
            (Millilitres: 0.0, Variance: 0.0),
            (sum, between) =>
            {
                var (share, ran) = (between.Share(from, until), (double)between.Millilitres!.Value);
                return (sum.Millilitres + share * ran, sum.Variance + share * (1 - share) * ran * ran);
            }
        );
}
