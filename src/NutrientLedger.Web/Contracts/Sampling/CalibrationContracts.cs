using NutrientLedger.Web.Contracts.Fields;

namespace NutrientLedger.Web.Contracts.Sampling;

/// <summary>
/// A calibration to be tried or adopted: what the sensor reads means slope × reading + intercept. The intercept is
/// given in the unit of the analyte, once: mg/L for nutrients (elemental), parts per million of fresh mass for dry
/// matter; nothing means 0.
/// </summary>
public sealed record CalibrationRequest(
    string? Calibration,
    string? Sensor,
    string? Analyte,
    decimal? Slope,
    decimal? InterceptMilligramsPerLitre,
    decimal? InterceptPartsPerMillion,
    DateTimeOffset? ValidFrom,
    DateTimeOffset? ValidTo,
    string? Pit,
    IReadOnlyList<string>? LabReports,
    string? By,
    string? Reason
);

/// <summary>Who takes a calibration back, and why.</summary>
public sealed record CalibrationWithdrawalRequest(string? By, string? Reason);

/// <summary>All calibrations that a farm ever adopted, in the order of the journal.</summary>
public sealed record CalibrationList(string Farm, IReadOnlyList<CalibrationResponse> Calibrations);

/// <summary>
/// A calibration as adopted; where it was withdrawn, by whom and why. All that one rule adopts has the same id, so an
/// adoption is known by its position; replacedBy is the position of the next one under its id, in whose favour it no
/// longer holds.
/// </summary>
public sealed record CalibrationResponse(
    string Calibration,
    long Position,
    DateTimeOffset RecordedAt,
    string Sensor,
    string Analyte,
    decimal Slope,
    decimal? InterceptMilligramsPerLitre,
    decimal? InterceptPartsPerMillion,
    DateTimeOffset ValidFrom,
    DateTimeOffset? ValidTo,
    string? Pit,
    IReadOnlyList<string> LabReports,
    string By,
    string Reason,
    string? WithdrawnBy,
    string? WithdrawnReason,
    long? ReplacedBy
);

/// <summary>
/// What a calibration, adopted or withdrawn, changes in the ledger as posted up to a position; stored says whether it
/// was.
/// </summary>
public sealed record CorrectionResponse(
    string Farm,
    string Calibration,
    bool Stored,
    long Position,
    IReadOnlyList<ChangeResponse> Changes
);

/// <summary>
/// What calibrations of a file would change together if they were adopted in their order; nothing is stored.
/// </summary>
public sealed record CalibrationsPreviewResponse(
    string Farm,
    IReadOnlyList<string> Calibrations,
    long Position,
    IReadOnlyList<ChangeResponse> Changes
);

/// <summary>One field (none where it was spread outside all fields), season and pit before and after.</summary>
public sealed record ChangeResponse(
    string? Field,
    int Season,
    string? Pit,
    double VolumeCubicMetres,
    double FlaggedShareBefore,
    double FlaggedShareAfter,
    ElementalResponse Before,
    ElementalResponse After
);
