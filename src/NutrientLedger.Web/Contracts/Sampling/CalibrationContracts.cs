using NutrientLedger.Web.Contracts.Fields;

namespace NutrientLedger.Web.Contracts.Sampling;

/// <summary>
/// A calibration to preview or adopt: value = slope × reading + intercept. The intercept has one unit, that of the
/// analyte: mg/L for nutrients (elemental), ppm of fresh mass for dry matter. Without one it is 0.
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

/// <summary>Who withdraws a calibration, and why.</summary>
internal sealed record CalibrationWithdrawalRequest(string? By, string? Reason);

/// <summary>All calibrations that a farm ever adopted, in journal order.</summary>
internal sealed record CalibrationList(string Farm, IReadOnlyList<CalibrationResponse> Calibrations);

/// <summary>
/// A calibration as adopted and, if withdrawn, by whom and why. All adoptions of one rule have the same id, so the
/// position identifies an adoption. ReplacedBy is the position of the next one with the same id, which replaced it.
/// </summary>
internal sealed record CalibrationResponse(
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
/// What a calibration, adopted or withdrawn, changes in the ledger as posted up to a position. Stored is false for a
/// preview. Warnings say whether its samples cover too few days to be tested, and whether much of what it corrects was
/// read outside the sensor's range in them.
/// </summary>
public sealed record CorrectionResponse(
    string Farm,
    string Calibration,
    bool Stored,
    long Position,
    IReadOnlyList<ChangeResponse> Changes,
    IReadOnlyList<string> Warnings
);

/// <summary>
/// What the calibrations of a file would change together if adopted in order, with the warnings of each. Nothing is
/// stored.
/// </summary>
public sealed record CalibrationsPreviewResponse(
    string Farm,
    IReadOnlyList<string> Calibrations,
    long Position,
    IReadOnlyList<ChangeResponse> Changes,
    IReadOnlyList<string> Warnings
);

/// <summary>One field (null for outside all fields), season and pit, before and after.</summary>
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
