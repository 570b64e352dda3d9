namespace NutrientLedger.Office.Answers;

/// <summary>
/// A pit's reconciliation from a day up to, but not including, another: every day's verdict, and the whole period in full, reckoned up
/// to a moment of farm time. While a correction is being posted, what was drawn and spread is still that before it.
/// </summary>
public sealed record ReconciliationAnswer(
    string Farm,
    string Pit,
    DateOnly From,
    DateOnly To,
    long Position,
    IReadOnlyList<ReconciledDay> Days,
    ReconciledPeriod Whole,
    string Caution,
    DateTimeOffset ReckonedTo,
    bool IsBeingCorrected
)
{
    public const string UsualCaution =
        "Manure gas kills, and a pit is a confined space: nobody enters it or leans over it alone to read a tape; measure from the bank, with a second person at hand. "
        + "Stop and look for run-off when a loss is suspected. This statement informs; local code and the farm's nutrient plan prevail.";

    /// <summary>What is said while a correction is being posted.</summary>
    public const string BeingCorrected =
        "A correction is being posted: what was drawn and spread here is from before it. Ask again in a moment.";

    /// <summary>How the figures that are off are to be read.</summary>
    public const string Signs =
        "Unexplained is start + in − out − drawn − end as measured: above zero, more went than was counted; below zero, more came out than the levels allow. "
        + "A finding names the loss or error that is left after all measurements are adjusted to one another by their errors, so it differs from the unexplained volume.";

    /// <summary>What is said of a measurement before the stretch is over.</summary>
    public const string NotTested = "not tested before it is over";

    /// <summary>The verdict on a day or period that has begun and is not over: it is reckoned up to the moment of asking.</summary>
    public const string Running = "running";

    /// <summary>A verdict as people read it.</summary>
    public static string InWords(string verdict) =>
        verdict switch
        {
            "doesNotClose" => "does not close",
            "cannotTell" => "cannot tell",
            Running => "not over yet",
            _ => verdict,
        };
}

/// <summary>One day that has begun: closes, doubtful, doesNotClose, cannotTell or running, how far it is off in m³, and the finding in words.</summary>
public sealed record ReconciledDay(
    DateOnly Day,
    string Verdict,
    double? UnexplainedCubicMetres,
    double? Chance,
    double MeteredCubicMetres,
    string Finding
);

/// <summary>
/// start + in − out − drawn − end = unexplained, in whole mL, with every witness and what all of them together say; the test of all
/// witnesses in words; by how much more the sensor says the pit was drawn down because levels were set aside; and what meters of the
/// farm counted meanwhile that no source names a pit for, which is in no pit's sum; and how the level moved while nothing was drawn, if it should not have.
/// </summary>
public sealed record ReconciledPeriod(
    string Verdict,
    double? Chance,
    long? StartMillilitres,
    long InMillilitres,
    long OutMillilitres,
    long DrawnByMeterMillilitres,
    long? EndMillilitres,
    long? UnexplainedMillilitres,
    string Finding,
    IReadOnlyList<WitnessAnswer> Witnesses,
    double OnFieldsCubicMetres,
    double OutsideFieldsCubicMetres,
    double DisengagedCubicMetres,
    double NotPlacedCubicMetres,
    IReadOnlyList<DrawnNutrientAnswer> Nutrients,
    IReadOnlyList<StoredNutrientAnswer> InPitAtEnd,
    double? DaysOfRoom,
    int LevelsKept,
    int LevelsSetAside,
    IReadOnlyList<string> Notes,
    string Test,
    long? DrawnDownByFilterMillilitres,
    double MeteredFromNoPitCubicMetres,
    string? IdleFinding
);

/// <summary>One witness: what it told, its standard deviation and where that is known from, what all together say, and its test in words.</summary>
public sealed record WitnessAnswer(
    string Witness,
    double ToldCubicMetres,
    double DeviationCubicMetres,
    string? KnownFrom,
    double? ReconciledCubicMetres,
    double? ReconciledDeviationCubicMetres,
    double? TestFigure,
    string Test
);

/// <summary>A nutrient (elemental) drawn from the pit: by content × metered volume, by content × reconciled volume, and unexplained.</summary>
public sealed record DrawnNutrientAnswer(
    string Nutrient,
    double? MeanKilogramsPerCubicMetre,
    double? ByMeterKilograms,
    double? ReconciledKilograms,
    double? UnexplainedKilograms
);

/// <summary>A nutrient (elemental) in the pit at the period's end, by the content last measured while drawing from it, and how old that is.</summary>
public sealed record StoredNutrientAnswer(string Nutrient, double Kilograms, DateTimeOffset MeasuredAt, double AgeDays);
