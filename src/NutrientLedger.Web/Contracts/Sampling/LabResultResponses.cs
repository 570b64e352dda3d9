namespace NutrientLedger.Web.Contracts.Sampling;

/// <summary>All laboratory reports of a farm, also superseded ones, in journal order.</summary>
internal sealed record LabResultList(string Farm, IReadOnlyList<LabResultResponse> Reports);

/// <summary>A laboratory report as entered. If it supersedes another or is superseded: which one and why.</summary>
internal sealed record LabResultResponse(
    string Report,
    DateTimeOffset RecordedAt,
    string Sample,
    string Laboratory,
    DateTimeOffset SampledFrom,
    DateTimeOffset SampledTo,
    string? Pit,
    string? Sensor,
    string? Applicator,
    string Method,
    DateOnly ReportedOn,
    decimal? Density,
    string? DensityUnit,
    string By,
    string? Supersedes,
    string? Reason,
    string? SupersededBy,
    IReadOnlyList<LabValueResponse> Values
);

/// <summary>
/// A line of a report as printed, and its meaning: the elemental analyte as is. Nutrients are in mg/L, dry matter is a
/// fraction of fresh mass.
/// </summary>
internal sealed record LabValueResponse(
    string What,
    decimal Value,
    string Unit,
    string Basis,
    string Analyte,
    double? MilligramsPerLitre,
    double? FractionOfFreshMass
);
