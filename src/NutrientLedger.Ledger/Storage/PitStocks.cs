using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Ledger.Storage;

/// <summary>
/// What was in a pit at the beginning and end of a period, by its level sensor and by tape from the bank.
/// </summary>
internal static class PitStocks
{
    public static MeasuredStock? BySensor(PitPeriod period) =>
        period.Levels.MillimetresAt(period.From) is { } start && period.Levels.MillimetresAt(period.Until) is { } end
            ? Stock(
                period,
                "the level sensor",
                start,
                end,
                PitDeviations.InForce(period, PitMeasurement.LevelSensor),
                PitDeviations.InForce(period, PitMeasurement.LevelSensor)
            )
            : null;

    // Tape readings count when all that was drawn by meter was drawn between the first and the last; what ran in before
    // the one and after the other is added in even measure. So is what left between readings of a meter.
    public static MeasuredStock? ByTape(PitPeriod period, long inflowMillilitres)
    {
        var taped = period
            .Configuration.Recorded<LevelTaped>()
            .Where(tape => tape.PitId == period.Pit.PitId && period.Holds(tape.MeasuredAt))
            .OrderBy(tape => tape.MeasuredAt)
            .ToArray();
        if (taped.Length < 2 || period.Drawn.Any(line => !Between(line.Key.HourStartSeconds * 1000)))
            return null;
        var stock = Stock(
            period,
            "the tape",
            Depth(taped[0]),
            Depth(taped[^1]),
            DeviationOf(taped[0]),
            DeviationOf(taped[^1])
        );
        // As decimals from the start: millilitres of a season times its milliseconds are more than a whole number
        // holds.
        var before = (double)inflowMillilitres / Length(period) * (At(taped[0]) - period.From);
        var after = (double)inflowMillilitres / Length(period) * (period.Until - At(taped[^1]));
        var between = PitInterruptions.Drawn(period).ToArray();
        var leftBefore = PitInterruptions.Expected(between, period.From, At(taped[0]));
        var leftAfter = PitInterruptions.Expected(between, At(taped[^1]), period.Until);
        var deviation = Math.Sqrt(Math.Pow(stock.DeviationMillilitres, 2) + leftBefore.Variance + leftAfter.Variance);
        return stock with
        {
            StartMillilitres = stock.StartMillilitres - PitFlows.Whole(before - leftBefore.Millilitres),
            EndMillilitres = stock.EndMillilitres + PitFlows.Whole(after - leftAfter.Millilitres),
            DeviationMillilitres = PitFlows.AtLeastALitre(deviation),
        };

        KnownDeviation DeviationOf(LevelTaped tape)
        {
            var inForce = PitDeviations.InForce(period, PitMeasurement.Tape);
            return new(tape.Deviation?.Size ?? inForce.Size, PitFlows.KnownFrom(tape.Deviation, inForce));
        }

        bool Between(long hour) => hour + 3_600_000 > At(taped[0]) && hour <= At(taped[^1]);
    }

    private static long Length(PitPeriod period) => period.Until - period.From;

    private static long At(LevelTaped tape) => tape.MeasuredAt.ToUnixTimeMilliseconds();

    private static double Depth(LevelTaped tape) =>
        1000
        * LevelMeasurement.DepthMetres(
            tape.WallMillimetres / 1000.0,
            tape.FreeboardMillimetres / 1000.0,
            tape.SlopeMillidegrees / 1000.0
        );

    private static MeasuredStock Stock(
        PitPeriod period,
        string measurement,
        double startMillimetres,
        double endMillimetres,
        KnownDeviation atStart,
        KnownDeviation atEnd
    )
    {
        var (start, end) = (period.MillilitresAt(startMillimetres), period.MillilitresAt(endMillimetres));
        var level =
            1e6
            * LevelMeasurement.VolumeDeviationCubicMetres(
                period.Pit.Shape,
                (int)startMillimetres,
                Math.Sqrt(Math.Pow(atStart.Size, 2) + Math.Pow(atEnd.Size, 2))
            );
        var shape = PitDeviations.InForce(period, PitMeasurement.PitShape).Size * (start - end);
        return new(
            measurement,
            PitFlows.Whole(start),
            PitFlows.Whole(end),
            PitFlows.AtLeastALitre(Math.Sqrt(level * level + shape * shape)),
            string.Join("; ", new[] { atStart.KnownFrom, atEnd.KnownFrom }.Distinct())
        );
    }
}
