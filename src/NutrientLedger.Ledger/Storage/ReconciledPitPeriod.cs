using System.Collections.Immutable;
using NutrientLedger.Agronomy.Storage;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Ledger.Storage;

/// <summary>
/// A pit's reconciliation for a period: its balance in mL, the measurements with their best estimates, what was spread
/// where, and notes on what was not measured.
/// </summary>
public sealed record ReconciledPitPeriod(
    PitPeriod Period,
    PitReconciliation Reconciliation,
    SpreadAmounts OnFields,
    SpreadAmounts OutsideFields,
    ImmutableArray<PitNote> Notes
)
{
    /// <summary>The name of an applicator's meter among the measurements.</summary>
    public static string MeterName(string applicatorId) => $"the flow meter of {applicatorId}";

    /// <summary>What ran while the tool was raised, on fields and outside.</summary>
    public double DisengagedCubicMetres => OnFields.DisengagedCubicMetres + OutsideFields.DisengagedCubicMetres;

    /// <summary>What was metered at no known place.</summary>
    public double NotPlacedCubicMetres => OnFields.NotPlacedCubicMetres + OutsideFields.NotPlacedCubicMetres;

    /// <summary>How many levels of the period were used.</summary>
    public int LevelsKept => Period.Levels.Kept.Count(level => Period.Holds(level.AtMilliseconds));

    /// <summary>How many levels of the period were left out as waves, foam or dropouts.</summary>
    public int LevelsLeftOut => Period.Levels.Outliers.Count(level => Period.Holds(level.AtMilliseconds));

    /// <summary>
    /// Days until the pit is filled to its full depth when inflow goes on as it was in the period, without rain and
    /// evaporation to come; nothing when no level is known or nothing runs in.
    /// </summary>
    public double? DaysUntilFull
    {
        get
        {
            var (pit, inflow) = (Period.Pit, Reconciliation.Input.Inflow.Where(flow => flow.Measurement != "rain"));
            var keptFree = pit.Shape.DepthMillimetres - pit.FullDepthMillimetres;
            return Period.Levels.MillimetresAt(Period.Until) is { } level
                ? StorageRoom.Days(
                    pit.Shape,
                    (int)level,
                    new(keptFree, 0, 0),
                    new(inflow.Sum(flow => flow.Millilitres) / 1e6 / Period.Days)
                )
                : null;
        }
    }

    /// <summary>
    /// By how much more the sensor says the pit was drawn down because readings were left out as waves, foam or
    /// dropouts; nothing without a sensor.
    /// </summary>
    public long? DrawnDownByFilterMillilitres =>
        Reconciliation.Input.Sensor?.DrawnDownMillilitres
        - PitStocks.BySensor(Period with { Levels = Period.Levels.Uncleaned })?.DrawnDownMillilitres;

    /// <summary>
    /// What the farm's meters counted in the period that no source names a pit for: it is in no pit balance.
    /// </summary>
    public SpreadAmounts FromNoPit =>
        SpreadAmounts.Of(
            Period.Configuration,
            Period.Lines.Where(line => line.Key.PitId.Length == 0 && Period.Holds(line.Key.HourStartSeconds * 1000))
        );

    /// <summary>
    /// What the meters counted from this pit between readings that were received, in mL: a part of the outflow.
    /// </summary>
    public long BetweenReadingsMillilitres => PitInterruptions.Flows(Period).Sum(flow => flow.Millilitres);

    /// <summary>The same without a recorded source, in m³: it is in no pit balance.</summary>
    public double BetweenFromNoPitCubicMetres =>
        PitInterruptions.Expected(PitInterruptions.FromNoPit(Period), Period.From, Period.Until).Millilitres / 1e6;

    /// <summary>
    /// The stretch in which the level moved furthest while nothing was drawn; null when it never moved by more than
    /// inflow, evaporation and chance explain.
    /// </summary>
    public IdleStretch? MovedWhileIdle =>
        IdleStretch.Moving([.. IdleStretch.Of(Period)]) is [var furthest, ..] ? furthest : null;

    public ImmutableArray<DrawnNutrient> DrawnNutrients => PitNutrients.Drawn(Period, Reconciliation);

    /// <summary>Nutrients in the pit at the end of the period, each with its age.</summary>
    public ImmutableArray<StoredNutrient> StoredNutrients => PitNutrients.Stored(Period);

    public static ReconciledPitPeriod Of(PitPeriod period)
    {
        var inflow = PitFlows.Inflow(period).ToImmutableArray();
        var outflow = PitFlows.Outflow(period).ToImmutableArray();
        var input = new PitBalanceInput(
            PitStocks.BySensor(period),
            PitStocks.ByTape(period, inflow.Sum(flow => flow.Millilitres)),
            inflow,
            outflow,
            [.. PitDraws.Of(period)]
        );
        var drawn = period.Drawn.ToLookup(line => line.Key.FieldId.Length > 0);
        return new(
            period,
            PitReconciliation.Of(input),
            SpreadAmounts.Of(period.Configuration, drawn[true]),
            SpreadAmounts.Of(period.Configuration, drawn[false]),
            [.. PitNotes.On(period, input)]
        );
    }
}
