namespace NutrientLedger.Web.Contracts.Storage;

/// <summary>
/// A pit's reconciliation from a day up to, but not including, another: every day's verdict, and the whole period in
/// full, reckoned up to a moment of farm time. While a correction is being posted, what was drawn and spread is still
/// that before it.
/// </summary>
public sealed record ReconciliationResponse(
    string Farm,
    string Pit,
    DateOnly From,
    DateOnly To,
    long Position,
    IReadOnlyList<ReconciledDayResponse> Days,
    ReconciledPeriodResponse Whole,
    string Caution,
    DateTimeOffset CalculatedTo,
    bool IsBeingCorrected
)
{
    public const string UsualCaution =
        "Manure gas kills. A pit is a confined space: never enter it, and never lean over it alone to read a tape. Measure from the bank with a second person present. "
        + "Stop and check for run-off if you suspect a loss. This statement is for information only. Local code and the farm's nutrient plan prevail.";

    /// <summary>What is said while a correction is being posted.</summary>
    public const string BeingCorrected =
        "A correction is being posted. These figures are from before it. Try again in a moment.";

    /// <summary>How the figures that are off are to be read.</summary>
    public const string Signs =
        "Unexplained = start + in − out − drawn − end. Positive: more left the pit than was counted. Negative: more was counted than the levels show. "
        + "A finding is the loss or error left after all measurements are adjusted. It can differ from the unexplained volume.";

    /// <summary>What is said of a measurement before the stretch is over.</summary>
    public const string NotTested = "tested when the period is over";

    /// <summary>
    /// The verdict on a day or period that has begun and is not over: it is reckoned up to the moment of asking.
    /// </summary>
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

/// <summary>
/// One day that has begun: closes, doubtful, doesNotClose, cannotTell or running, how far it is off in m³, and the
/// finding in words.
/// </summary>
public sealed record ReconciledDayResponse(
    DateOnly Day,
    string Verdict,
    double? UnexplainedCubicMetres,
    double? Chance,
    double MeteredCubicMetres,
    string Finding
);

/// <summary>
/// start + in − out − drawn − end = unexplained, in whole mL, with every witness and what all of them together say; the
/// test of all witnesses in words; by how much more the sensor says the pit was drawn down because levels were set
/// aside; and what meters of the farm counted meanwhile that no source names a pit for, which is in no pit's sum; and
/// how the level moved while nothing was drawn, if it should not have.
/// </summary>
public sealed record ReconciledPeriodResponse(
    string Verdict,
    double? Chance,
    long? StartMillilitres,
    long InMillilitres,
    long OutMillilitres,
    long DrawnByMeterMillilitres,
    long? EndMillilitres,
    long? UnexplainedMillilitres,
    string Finding,
    IReadOnlyList<MeasurementResponse> Measurements,
    double OnFieldsCubicMetres,
    double OutsideFieldsCubicMetres,
    double DisengagedCubicMetres,
    double NotPlacedCubicMetres,
    IReadOnlyList<DrawnNutrientResponse> Nutrients,
    IReadOnlyList<StoredNutrientResponse> InPitAtEnd,
    double? DaysOfRoom,
    int LevelsKept,
    int LevelsExcluded,
    IReadOnlyList<string> Notes,
    string Test,
    long? DrawnDownByFilterMillilitres,
    double MeteredFromNoPitCubicMetres,
    string? IdleFinding
);

/// <summary>
/// One witness: what it told, its standard deviation and where that is known from, what all together say, and its test
/// in words.
/// </summary>
public sealed record MeasurementResponse(
    string Name,
    double MeasuredCubicMetres,
    double DeviationCubicMetres,
    string? KnownFrom,
    double? AdjustedCubicMetres,
    double? AdjustedDeviationCubicMetres,
    double? TestStatistic,
    string Test
);

/// <summary>
/// A nutrient (elemental) drawn from the pit: by content × metered volume, by content × reconciled volume, and
/// unexplained.
/// </summary>
public sealed record DrawnNutrientResponse(
    string Nutrient,
    double? MeanKilogramsPerCubicMetre,
    double? ByMeterKilograms,
    double? AdjustedKilograms,
    double? UnexplainedKilograms
);

/// <summary>
/// A nutrient (elemental) in the pit at the period's end, by the content last measured while drawing from it, and how
/// old that is.
/// </summary>
public sealed record StoredNutrientResponse(
    string Nutrient,
    double Kilograms,
    DateTimeOffset MeasuredAt,
    double AgeDays
);
