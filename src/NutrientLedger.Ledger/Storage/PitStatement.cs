using System.Collections.Immutable;
using NutrientLedger.Agronomy.Storage;
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

    /// <summary>By how much more the sensor says the pit was drawn down because readings were left out as waves, foam or dropouts; nothing without a sensor.</summary>
    public long? DrawnDownByFilterMillilitres =>
        Reconciliation.Story.Sensor?.DrawnDownMillilitres
        - PitStocks.BySensor(Period with { Levels = Period.Levels.Uncleaned })?.DrawnDownMillilitres;

    public ImmutableArray<DrawnNutrient> DrawnNutrients => PitNutrients.Drawn(Period, Reconciliation);

    /// <summary>Nutrients in the pit at the end of the period, each with its age.</summary>
    public ImmutableArray<StoredNutrient> StoredNutrients => PitNutrients.Stored(Period);

    public static PitStatement Of(PitPeriod period)
    {
        var inflow = PitWaters.Inflow(period).ToImmutableArray();
        var outflow = PitWaters.Outflow(period).ToImmutableArray();
        var story = new PitStory(
            PitStocks.BySensor(period),
            PitStocks.ByTape(period, inflow.Sum(told => told.Millilitres)),
            inflow,
            outflow,
            [.. PitDrawings.Of(period)]
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
        if (story.Outflow.Any(told => told.Witness == PitWeather.EvaporationUnmeasured))
            yield return "Evaporation was not measured and is not reckoned; it is taken as nothing, with an error as large as it usually is. "
                + "Open liquid loses 0 to 8 mm (0 to 0.3 in) on a day, less under crust or foam (order of magnitude, common practice, no source).";
        foreach (var note in period.Register.Recorded<PitNoted>().Where(note => note.PitId == period.Pit.PitId))
            if (period.Share(note.From, note.Until) > 0)
                yield return $"{InWords(note.Kind)}: {note.Text}";
    }
}
