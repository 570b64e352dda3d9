using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Ledger;

/// <summary>What each applicator drew from a pit: by its meter, and by the area it travelled times its set rate.</summary>
internal static class PitDrawings
{
    public static IEnumerable<ToldDrawing> Of(PitPeriod period) =>
        from line in period.Drawn
        group line by line.Key.ApplicatorId into applicator
        orderby applicator.Key
        let sums = applicator.Aggregate(LineAmounts.None, (sum, line) => sum + line.Value)
        let unseen = sums.DisengagedMillilitres + sums.NotPlacedMillilitres
        select new ToldDrawing(
            PitWaters.Told(
                period,
                PitStatement.MeterOf(applicator.Key),
                sums.VolumeMillilitres + unseen,
                null,
                PitMeasurement.FlowMeter
            ),
            ByRate(period, applicator.Key, [.. applicator], unseen)
        );

    // Area travelled, not covered: ground passed twice was given manure twice.
    private static ToldVolume? ByRate(
        PitPeriod period,
        string applicatorId,
        IReadOnlyCollection<KeyValuePair<LineKey, LineAmounts>> lines,
        long unseenMillilitres
    )
    {
        var (volume, variance) = (0.0, 0.0);
        StatedDeviation? stated = null;
        foreach (var (key, amounts) in lines.Where(line => line.Value.AreaTravelledSquareCentimetres > 0))
        {
            var rate = period
                .Register.Recorded<SpreadingRateSet>()
                .Where(set => set.ApplicatorId == applicatorId && (set.FieldId is null || set.FieldId == key.FieldId))
                .Where(set => RegisterContents.Milliseconds(set.ValidFrom) < key.HourStartSeconds * 1000 + 3_600_000)
                .OrderBy(set => set.ValidFrom)
                .LastOrDefault();
            if (rate is null)
                return null;
            var hectares = amounts.AreaTravelledSquareCentimetres / 1e8;
            volume += hectares * rate.MillilitresPerHectare;
            variance += hectares * (rate.Deviation?.Size ?? 0);
            stated = rate.Deviation ?? stated;
        }
        return volume == 0
            ? null
            : PitWaters.Told(
                period,
                $"area × set rate of {applicatorId}",
                volume + unseenMillilitres,
                stated is null ? null : stated with { Size = PitWaters.AtLeastALitre(variance) },
                PitMeasurement.SetRate
            );
    }
}
