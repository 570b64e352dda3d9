using System.Text.Json.Serialization;

namespace NutrientLedger.Web.Contracts.Fields;

/// <summary>What was spread on a field in a season, by day.</summary>
internal sealed record ApplicationList(
    string Farm,
    string Field,
    int Season,
    long Position,
    IReadOnlyList<ApplicationResponse> Applications
);

/// <summary>
/// What one applicator spread on the field from one pit on one farm day. FirstHour and LastHour start the first and
/// last hour. Method is null when none was recorded. Nutrients are a minimum when a part of the volume has no
/// composition.
/// </summary>
internal sealed record ApplicationResponse(
    DateOnly Day,
    string Applicator,
    string? Pit,
    DateTimeOffset FirstHour,
    DateTimeOffset LastHour,
    string? Method,
    int? IncorporatedAfterHours,
    double VolumeCubicMetres,
    double? CubicMetresPerHectareTravelled,
    double TotalNitrogenKilograms,
    double AmmoniumNitrogenKilograms,
    [property: JsonPropertyName("p2o5Kilograms")] double P2o5Kilograms,
    [property: JsonPropertyName("k2oKilograms")] double K2oKilograms,
    double WithoutCompositionCubicMetres
);
