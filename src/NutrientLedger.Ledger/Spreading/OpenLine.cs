using NutrientLedger.Journal.Spreading;

namespace NutrientLedger.Ledger;

/// <summary>A line while interval after interval is added to it; closed into <see cref="LineAmounts"/> when the key changes.</summary>
internal sealed class OpenLine
{
    private long volume;
    private long disengaged;
    private long notPlaced;
    private long flagged;
    private long unknownIntervals;
    private long intervals;
    private long areaTravelled;
    private long lastMeasuredAt;
    private AnalyteSums dryMatter;
    private AnalyteSums totalNitrogen;
    private AnalyteSums ammoniumNitrogen;
    private AnalyteSums phosphorus;
    private AnalyteSums potassium;

    public void AddUnknown() => unknownIntervals++;

    public void AddNotPlaced(long millilitres) => notPlaced += millilitres;

    public void AddDisengaged(long millilitres) => disengaged += millilitres;

    /// <summary>Adds an engaged interval: its composition is that of its first reading, if a sensor on the applicator vouches for it.</summary>
    public void AddEngaged(
        long millilitres,
        long squareCentimetres,
        in SpreadReading first,
        bool sensorOnApplicator,
        long endedAt
    )
    {
        volume += millilitres;
        intervals++;
        areaTravelled += squareCentimetres;
        lastMeasuredAt = Math.Max(lastMeasuredAt, endedAt);
        if (first.AmmoniumNitrogenMilligramsPerLitre > first.TotalNitrogenMilligramsPerLitre)
            flagged += millilitres;
        Add(ref dryMatter, first.DryMatterPartsPerMillion);
        Add(ref totalNitrogen, first.TotalNitrogenMilligramsPerLitre);
        Add(ref ammoniumNitrogen, first.AmmoniumNitrogenMilligramsPerLitre);
        Add(ref phosphorus, first.PhosphorusMilligramsPerLitre);
        Add(ref potassium, first.PotassiumMilligramsPerLitre);

        void Add(ref AnalyteSums sums, int? concentration) =>
            sums =
                sensorOnApplicator && concentration is { } known
                    ? sums with
                    {
                        WeightedSum = sums.WeightedSum + (Int128)millilitres * known,
                    }
                    : sums with
                    {
                        MillilitresWithout = sums.MillilitresWithout + millilitres,
                    };
    }

    public LineAmounts Close() =>
        new()
        {
            VolumeMillilitres = volume,
            DisengagedMillilitres = disengaged,
            NotPlacedMillilitres = notPlaced,
            FlaggedMillilitres = flagged,
            UnknownIntervals = unknownIntervals,
            Intervals = intervals,
            AreaTravelledSquareCentimetres = areaTravelled,
            LastMeasuredAtMilliseconds = lastMeasuredAt,
            DryMatter = dryMatter,
            TotalNitrogen = totalNitrogen,
            AmmoniumNitrogen = ammoniumNitrogen,
            Phosphorus = phosphorus,
            Potassium = potassium,
        };
}
