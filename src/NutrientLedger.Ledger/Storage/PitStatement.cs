using System.Collections.Immutable;
using NutrientLedger.Agronomy.Storage;

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

    /// <summary>What the farm's meters counted in the period that no source names a pit for: it is in no pit's sum.</summary>
    public SpreadAmounts FromNoPit =>
        SpreadAmounts.Of(
            Period.Register,
            Period.Lines.Where(line => line.Key.PitId.Length == 0 && Period.Holds(line.Key.HourStartSeconds * 1000))
        );

    /// <summary>What the level did while nothing was drawn, in words; nothing when it moved by no more than inflow, evaporation and chance explain.</summary>
    public string? IdleFinding(Func<double, string>? volume = null) =>
        IdleStretch.Moving([.. IdleStretch.Of(Period)]) is [var worst, ..]
            ? PitFinding.OfIdle(worst.Unseen, worst.Hours, worst.RainIsKnown, volume)
            : null;

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
            [.. PitNotes.On(period, story)]
        );
    }
}
