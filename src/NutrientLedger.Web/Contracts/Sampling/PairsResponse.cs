namespace NutrientLedger.Web.Contracts.Sampling;

/// <summary>
/// A sensor compared with the laboratory in one analyte. Contents are in <see cref="Unit"/> and as the sensor read
/// them, before any calibration. Samples of one day share an error, so the number of days decides. The bias takes the
/// day as a random effect. BiasLimit is what chance explains at BiasLevel, a share. Slope and intercept are by Deming
/// regression, with standard errors from leaving out whole days. The standard error of prediction and the determination
/// follow ISO 12099. All are null when there are too few pairs or days. Test says what was tested, over how many days
/// and at which level; Level holds for bias and slope together. The proposal can be posted unchanged to
/// calibrations/preview. To adopt it, a person adds by and reason.
/// </summary>
public sealed record PairsResponse(
    string Farm,
    string Sensor,
    string Analyte,
    string Unit,
    int PitHours,
    IReadOnlyList<PairResponse> Pairs,
    IReadOnlyList<UnpairedResponse> Unpaired,
    int Days,
    double Level,
    string Test,
    double? Bias,
    double? BiasLimit,
    double? BiasLevel,
    double? StandardErrorOfPrediction,
    double? Slope,
    double? SlopeStandardError,
    double? Intercept,
    double? InterceptStandardError,
    bool? SlopeDiffersFromOne,
    double? Determination,
    ReadingsResponse? Readings,
    ProposalResponse? Proposal,
    AdoptionRuleResponse? Rule,
    IReadOnlyList<string> Warnings
);

/// <summary>
/// The readings that the proposal would correct, against the sensor's range in the pairs. An hour is outside where its
/// mean lies more than a tenth beyond either end. The share is that of the volume, from 0 to 1.
/// </summary>
public sealed record ReadingsResponse(double Low, double High, double VolumeCubicMetres, double ShareOutside);

/// <summary>
/// The farm's rule that adopts a calibration of this sensor and analyte when a laboratory report comes, and what it
/// still lacks. The standard error is in the unit of the farm file, "g/L" or "%" of fresh mass. The rule uses the
/// default hours around pits and is null for other hours.
/// </summary>
public sealed record AdoptionRuleResponse(
    bool IsOn,
    int PairsMin,
    double StandardErrorMax,
    string StandardErrorUnit,
    bool IsFulfilled,
    IReadOnlyList<string> Lacking
);

/// <summary>
/// A sample measured by laboratory and sensor. The sensor's value is the volume-weighted mean of what passed it in the
/// window. FurtherReports are of the same sample (place, time and jar), which counts once. Lag is that of the liquid
/// from sensor to sample: "none", "shifted" by the hose volume, or "notKnown" and not shifted. The shift assumes that
/// the liquid moves as one column.
/// </summary>
public sealed record PairResponse(
    string Report,
    IReadOnlyList<string> FurtherReports,
    string Sample,
    DateTimeOffset From,
    DateTimeOffset To,
    string? Pit,
    string? Applicator,
    string Lag,
    double Laboratory,
    double Sensor,
    double VolumeCubicMetres,
    double WithoutContentCubicMetres
);

/// <summary>A report of this sensor or its pits without a counterpart, and why.</summary>
public sealed record UnpairedResponse(string Report, string Reason);

/// <summary>A calibration computed from the pairs, with its standard errors.</summary>
public sealed record ProposalResponse(
    CalibrationRequest Calibration,
    double? SlopeStandardError,
    double? InterceptStandardError,
    string Summary
);
