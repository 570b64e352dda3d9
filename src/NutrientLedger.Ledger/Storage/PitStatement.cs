using System.Collections.Immutable;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;

namespace NutrientLedger.Ledger;

/// <summary>
/// What is to be said of a pit and a period: the sum to the millilitre, the witnesses under their balances, what was spread where,
/// and what stayed untold.
/// </summary>
public sealed record PitStatement(
    PitPeriod Period,
    PitReconciliation Reconciliation,
    SpreadAmounts OnFields,
    SpreadAmounts OutsideFields,
    ImmutableArray<string> Notes
)
{
    /// <summary>What an applicator's meter is called among the witnesses.</summary>
    public static string MeterOf(string applicatorId) => $"the flow meter of {applicatorId}";

    public string Finding => PitFinding.Of(Reconciliation);

    /// <summary>
    /// Days until the pit is filled to its full depth when inflow goes on as it was in the period, without rain and evaporation to
    /// come; nothing when no level is known or nothing runs in.
    /// </summary>
    public double? DaysOfRoom
    {
        get
        {
            var (pit, inflow) = (Period.Pit, Reconciliation.Story.Inflow.Where(told => told.Witness != "rain"));
            var keptFree = pit.Shape.DepthMillimetres - pit.FullDepthMillimetres;
            return Period.Levels.MillimetresAt(Period.Until) is { } level
                ? StorageRoom.Days(
                    pit.Shape,
                    (int)level,
                    new(keptFree, 0, 0),
                    new(inflow.Sum(told => told.Millilitres) / 1e6 / Period.Days)
                )
                : null;
        }
    }

    public ImmutableArray<DrawnNutrient> DrawnNutrients => PitNutrients.Drawn(Period, Reconciliation);

    /// <summary>Nutrients in the pit at the end of the period, each with its age.</summary>
    public ImmutableArray<StoredNutrient> StoredNutrients => PitNutrients.Stored(Period);

    public static PitStatement Of(PitPeriod period)
    {
        var inflow = PitWaters.Inflow(period).ToImmutableArray();
        var outflow = PitWaters.Outflow(period).ToImmutableArray();
        var story = new PitStory(
            Sensor(period),
            Tape(period, inflow.Sum(told => told.Millilitres)),
            inflow,
            outflow,
            [.. Drawings(period)]
        );
        var drawn = period.Drawn.ToLookup(line => line.Key.FieldId.Length > 0);
        return new(
            period,
            PitReconciliation.Of(story),
            SpreadAmounts.Of(period.Register, drawn[true]),
            SpreadAmounts.Of(period.Register, drawn[false]),
            [.. NotesOn(period, story)]
        );
    }

    private static ToldStock? Sensor(PitPeriod period) =>
        period.Levels.MillimetresAt(period.From) is { } start && period.Levels.MillimetresAt(period.Until) is { } end
            ? Stock(period, "the level sensor", start, end, null, "level-sensor")
            : null;

    // Tape readings count when all that was drawn by meter was drawn between the first and the last; what ran in before the one
    // and after the other is added in even measure.
    private static ToldStock? Tape(PitPeriod period, long inflowMillilitres)
    {
        var taped = period
            .Register.Recorded<LevelTaped>()
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
            taped[^1].Deviation ?? taped[0].Deviation,
            "tape"
        );
        var before = inflowMillilitres * (At(taped[0]) - period.From) / (double)(period.Until - period.From);
        var after = inflowMillilitres * (period.Until - At(taped[^1])) / (double)(period.Until - period.From);
        return stock with
        {
            StartMillilitres = stock.StartMillilitres - PitWaters.Whole(before),
            EndMillilitres = stock.EndMillilitres + PitWaters.Whole(after),
        };

        bool Between(long hour) => hour + 3_600_000 > At(taped[0]) && hour <= At(taped[^1]);
    }

    private static long At(LevelTaped tape) => tape.MeasuredAt.ToUnixTimeMilliseconds();

    private static double Depth(LevelTaped tape) =>
        1000
        * LevelMeasurement.DepthMetres(
            tape.WallMillimetres / 1000.0,
            tape.FreeboardMillimetres / 1000.0,
            tape.SlopeMillidegrees / 1000.0
        );

    private static ToldStock Stock(
        PitPeriod period,
        string witness,
        double startMillimetres,
        double endMillimetres,
        StatedDeviation? stated,
        string usual
    )
    {
        var (start, end) = (period.MillilitresAt(startMillimetres), period.MillilitresAt(endMillimetres));
        var figure = UsualDeviation.All[usual];
        var level =
            1e6
            * LevelMeasurement.VolumeDeviationCubicMetres(
                period.Pit.Shape,
                (int)startMillimetres,
                Math.Sqrt(2) * (stated?.Size ?? figure.Value)
            );
        var shape = UsualDeviation.All["pit-shape"].Value * (start - end);
        return new(
            witness,
            PitWaters.Whole(start),
            PitWaters.Whole(end),
            PitWaters.AtLeastALitre(Math.Sqrt(level * level + shape * shape)),
            PitWaters.KnownFrom(stated, figure)
        );
    }

    private static IEnumerable<ToldDrawing> Drawings(PitPeriod period) =>
        from line in period.Drawn
        group line by line.Key.ApplicatorId into applicator
        orderby applicator.Key
        let sums = applicator.Aggregate(LineAmounts.None, (sum, line) => sum + line.Value)
        let unseen = sums.DisengagedMillilitres + sums.NotPlacedMillilitres
        select new ToldDrawing(
            PitWaters.Told(MeterOf(applicator.Key), sums.VolumeMillilitres + unseen, null, "flow-meter"),
            ByRate(period.Register, applicator.Key, [.. applicator], unseen)
        );

    // Area travelled, not covered: ground passed twice was given manure twice.
    private static ToldVolume? ByRate(
        Register register,
        string applicatorId,
        IReadOnlyCollection<KeyValuePair<LineKey, LineAmounts>> lines,
        long unseenMillilitres
    )
    {
        var (volume, variance) = (0.0, 0.0);
        StatedDeviation? stated = null;
        foreach (var (key, amounts) in lines.Where(line => line.Value.AreaTravelledSquareCentimetres > 0))
        {
            var rate = register
                .Recorded<SpreadingRateSet>()
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
                $"acres × set rate of {applicatorId}",
                volume + unseenMillilitres,
                stated is null ? null : stated with { Size = PitWaters.AtLeastALitre(variance) },
                "set-rate"
            );
    }

    private static string InWords(PitNoteKind kind) =>
        kind switch
        {
            PitNoteKind.Agitated => "Agitated",
            PitNoteKind.Settled => "Settled into layers",
            _ => "Foam or crust",
        };

    private static IEnumerable<string> NotesOn(PitPeriod period, PitStory story)
    {
        if (story.Stock is null)
            yield return "No level was measured and no two tape readings were taken: the pit's own sum cannot be made.";
        if (period.Drawn.Sum(line => line.Value.UnknownIntervals) is > 0 and var unknown)
            yield return $"In {unknown} intervals nobody can know what ran through a meter; metered volume is at least this much.";
        if (story.Drawings.Length == 0)
            yield return "Nothing was drawn by meter.";
        foreach (var note in period.Register.Recorded<PitNoted>().Where(note => note.PitId == period.Pit.PitId))
            if (period.Share(note.From, note.Until) > 0)
                yield return $"{InWords(note.Kind)}: {note.Text}";
    }
}
