using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Ledger.Posting;

/// <summary>
/// A line while interval after interval is added to it. It is closed into <see cref="LineAmounts"/> when the key
/// changes.
/// </summary>
internal sealed class OpenLine
{
    private long volume;
    private long disengaged;
    private long notPlaced;
    private const int Rules = (int)FlagRule.InsideNoSpreadZone + 1;

    private FlaggedSums[]? flagged;
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

    public void AddDisengaged(long millilitres, bool flag)
    {
        disengaged += millilitres;
        if (flag)
            (flagged ??= new FlaggedSums[Rules])[(int)FlagRule.FlowWhileDisengaged] += new FlaggedSums(
                1,
                millilitres,
                default,
                default,
                default,
                default,
                default
            );
    }

    /// <summary>
    /// Adds an engaged interval. Its composition is that of its first reading, if a sensor on the applicator is in
    /// force.
    /// </summary>
    public void AddEngaged(
        long millilitres,
        long squareCentimetres,
        in SpreadReading first,
        bool sensorOnApplicator,
        long endedAt,
        int flags
    )
    {
        volume += millilitres;
        intervals++;
        areaTravelled += squareCentimetres;
        lastMeasuredAt = Math.Max(lastMeasuredAt, endedAt);
        var dm = Of(first.DryMatterPartsPerMillion);
        var tn = Of(first.TotalNitrogenMilligramsPerLitre);
        var nh4n = Of(first.AmmoniumNitrogenMilligramsPerLitre);
        var p = Of(first.PhosphorusMilligramsPerLitre);
        var k = Of(first.PotassiumMilligramsPerLitre);
        dryMatter += dm;
        totalNitrogen += tn;
        ammoniumNitrogen += nh4n;
        phosphorus += p;
        potassium += k;
        if (flags != 0)
            Flag(flags, new(1, millilitres, dm, tn, nh4n, p, k));

        AnalyteSums Of(int? concentration) =>
            sensorOnApplicator && concentration is { } known
                ? new((Int128)millilitres * known, 0)
                : new(0, millilitres);
    }

    private void Flag(int flags, in FlaggedSums sums)
    {
        flagged ??= new FlaggedSums[Rules];
        for (var rule = 0; rule < Rules; rule++)
            if ((flags & (1 << rule)) != 0)
                flagged[rule] += sums;
    }

    private FlaggedParts Flagged()
    {
        var parts = FlaggedParts.None;
        for (var rule = 0; rule < (flagged?.Length ?? 0); rule++)
            if (flagged![rule] != default)
                parts = parts.With((FlagRule)rule, flagged[rule]);
        return parts;
    }

    public LineAmounts Close() =>
        new()
        {
            VolumeMillilitres = volume,
            DisengagedMillilitres = disengaged,
            NotPlacedMillilitres = notPlaced,
            Flagged = Flagged(),
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
