namespace NutrientLedger.Web.Contracts.Sampling;

/// <summary>
/// A sensor compared with the laboratory in one analyte. Contents are in <see cref="Unit"/> and as the sensor read
/// them, before any calibration. Statistics follow ISO 12099; they are null when there are too few pairs. The proposal
/// can be posted unchanged to calibrations/preview. To adopt it, a person adds by and reason.
/// </summary>
public sealed record PairsResponse(
    string Farm,
    string Sensor,
    string Analyte,
    string Unit,
    int PitHours,
    IReadOnlyList<PairResponse> Pairs,
    IReadOnlyList<UnpairedResponse> Unpaired,
    double? Bias,
    double? BiasLimit,
    double? StandardErrorOfPrediction,
    double? Slope,
    double? SlopeStandardError,
    double? Intercept,
    double? InterceptStandardError,
    bool? SlopeDiffersFromOne,
    double? Determination,
    ProposalResponse? Proposal,
    AdoptionRuleResponse? Rule,
    IReadOnlyList<string> Warnings
);

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
/// window. Lag is that of the liquid from sensor to sample: "none", "shifted" by the hose volume, or "notKnown" and not
/// shifted. The shift assumes that the liquid moves as one column.
/// </summary>
public sealed record PairResponse(
    string Report,
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
