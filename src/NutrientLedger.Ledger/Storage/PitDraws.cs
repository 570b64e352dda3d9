using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Ledger.Storage;

/// <summary>
/// What each applicator drew from a pit: by its meter, and by the area it travelled times its set rate.
/// </summary>
internal static class PitDraws
{
    private const double SquareCentimetresInAHectare = 1e8;

    public static IEnumerable<MeasuredDraw> Of(PitPeriod period) =>
        from line in period.Drawn
        group line by line.Key.ApplicatorId into applicator
        orderby applicator.Key
        let sums = applicator.Aggregate(LineAmounts.None, (sum, line) => sum + line.Value)
        let unseen = sums.DisengagedMillilitres + sums.NotPlacedMillilitres
        select new MeasuredDraw(
            PitFlows.Measured(
                period,
                ReconciledPitPeriod.MeterName(applicator.Key),
                sums.VolumeMillilitres + unseen,
                null,
                PitMeasurement.FlowMeter
            ),
            ByRate(period, applicator.Key, [.. applicator], unseen)
        );

    // Area travelled, not covered: ground passed twice was given manure twice. What one rate stated wrongly is wrong on
    // all its ground.
    private static MeasuredVolume? ByRate(
        PitPeriod period,
        string applicatorId,
        IReadOnlyCollection<KeyValuePair<LineKey, LineAmounts>> lines,
        long unseenMillilitres
    )
    {
        var spread = lines
            .Where(line => line.Value.AreaTravelledSquareCentimetres > 0)
            .Select(line => (Rate: RateOf(period.Configuration, line.Key), line.Value.AreaTravelledSquareCentimetres))
            .ToArray();
        if (spread.Length == 0 || spread.Any(part => part.Rate is null))
            return null;
        var sum = new MeasuredVolumeSum(period);
        foreach (var part in spread.GroupBy(part => part.Rate!, part => part.AreaTravelledSquareCentimetres))
        {
            var hectares = part.Sum() / SquareCentimetresInAHectare;
            sum.Add(hectares * part.Key.MillilitresPerHectare, PitMeasurement.SetRate, part.Key.Deviation, hectares);
        }
        var volume = sum.Total($"area × set rate of {applicatorId}");
        return volume with { Millilitres = volume.Millilitres + unseenMillilitres };
    }

    private static SpreadingRateSet? RateOf(FarmConfiguration configuration, LineKey line) =>
        configuration
            .Recorded<SpreadingRateSet>()
            .Where(set => set.ApplicatorId == line.ApplicatorId)
            .Where(set => set.FieldId is null || set.FieldId == line.FieldId)
            .Where(set => ConfigurationIndex.Milliseconds(set.ValidFrom) < line.HourStartSeconds * 1000 + 3_600_000)
            .OrderBy(set => set.ValidFrom)
            .LastOrDefault();
}
