namespace NutrientLedger.Web.Contracts.Sampling;

/// <summary>
/// A sensor against the laboratory in one analyte. All contents are in <see cref="Unit"/> and as the sensor read them,
/// before any calibration. The statistics are those of ISO 12099; nothing stands where there are too few pairs to tell.
/// The proposal, if there is one, can be posted as it is to calibrations/preview; to adopt it a person adds by and
/// reason.
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
/// The farm's rule that adopts a calibration of this sensor and analyte by itself when a laboratory report comes, and
/// what it lacks so far (the standard error is in the unit of the farm file, "g/L" or "%" of fresh mass). It goes by
/// the usual hours around pits and is told for these only.
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
/// A sample known twice; the sensor's is the volume-weighted mean of what passed it in the window. The lag is that of
/// the liquid from sensor to sample: "none", "shifted" by what the hose holds (as if the liquid moved as one column),
/// or "notKnown", not shifted.
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

/// <summary>A report of this sensor or its pits that has no counterpart, and why.</summary>
public sealed record UnpairedResponse(string Report, string Reason);

/// <summary>A calibration that the pairs suggest, with the standard errors they leave.</summary>
public sealed record ProposalResponse(
    CalibrationRequest Calibration,
    double? SlopeStandardError,
    double? InterceptStandardError,
    string Summary
);
