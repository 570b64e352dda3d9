using System.Text.Json.Serialization;

namespace NutrientLedger.Web.Contracts.Fields;

/// <summary>What was spread on a field in a season, day by day.</summary>
public sealed record ApplicationList(
    string Farm,
    string Field,
    int Season,
    long Position,
    IReadOnlyList<ApplicationResponse> Applications
);

/// <summary>
/// What one applicator spread on the field from one pit in one day of farm time; the hours are those in which it began
/// and ended, the method is empty where none was recorded. At least these nutrients where volume came without
/// composition.
/// </summary>
public sealed record ApplicationResponse(
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
