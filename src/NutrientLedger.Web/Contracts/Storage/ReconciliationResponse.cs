namespace NutrientLedger.Web.Contracts.Storage;

/// <summary>
/// A pit's reconciliation from a day up to, not including, another: each day's verdict, and the whole period in detail.
/// CalculatedTo is in farm time. While a correction is being posted, drawn and spread volumes are those before it.
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
    public const string SafetyNote =
        "Manure gas kills. A pit is a confined space: never enter it, and never lean over it alone to read a tape. Measure from the bank with a second person present. "
        + "Stop and check for run-off if you suspect a loss. This statement is for information only. Local code and the farm's nutrient plan prevail.";

    /// <summary>Shown while a correction is being posted.</summary>
    public const string BeingCorrected =
        "A correction is being posted. These values are from before it. Try again in a moment.";

    /// <summary>How to read the sign of an unexplained volume.</summary>
    public const string Signs =
        "Unexplained = start + in − out − drawn − end. Positive: more left the pit than was counted. Negative: more was counted than the levels show. "
        + "A finding is the loss or error left after all measurements are adjusted. It can differ from the unexplained volume.";

    /// <summary>The test of a measurement before the period is over.</summary>
    public const string NotTested = "tested when the period is over";

    /// <summary>The verdict on a day or period that is not over; it is computed up to now.</summary>
    public const string Running = "running";

    /// <summary>The verdict in words for people.</summary>
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
/// One day that has begun: its verdict (closes, warning, doesNotClose, cannotTell or running), the unexplained volume
/// in m³, and the finding in words.
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
/// Unexplained = start + in − out − drawn − end, in whole mL, with all measurements, their best estimates and the test
/// of all in words. DrawnDownByFilter is how much more the sensor shows as drawn because some levels are excluded.
/// MeteredFromNoPit is what the farm's meters counted without a recorded pit; it is in no pit's sum. IdleFinding
/// reports an unexpected level change while nothing was drawn. BetweenReadings is the part of Out that meters counted
/// between readings that were received: metered, not placed.
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
    double? DaysUntilFull,
    int LevelsKept,
    int LevelsExcluded,
    IReadOnlyList<string> Notes,
    string Test,
    long? DrawnDownByFilterMillilitres,
    double MeteredFromNoPitCubicMetres,
    string? IdleFinding,
    long BetweenReadingsMillilitres
);

/// <summary>
/// One measurement: its value, its standard deviation and the source of that, its best estimate after adjustment, and
/// its test in words.
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
/// A nutrient (elemental) drawn from the pit: content × metered volume, content × reconciled volume, and the
/// unexplained part.
/// </summary>
public sealed record DrawnNutrientResponse(
    string Nutrient,
    double? MeanKilogramsPerCubicMetre,
    double? ByMeterKilograms,
    double? AdjustedKilograms,
    double? UnexplainedKilograms
);

/// <summary>
/// A nutrient (elemental) in the pit at the period's end, by the content last measured while drawing, and the age of
/// that.
/// </summary>
public sealed record StoredNutrientResponse(
    string Nutrient,
    double Kilograms,
    DateTimeOffset MeasuredAt,
    double AgeDays
);
