using System.Text.Json.Serialization;

namespace NutrientLedger.Web.Contracts.Fields;

/// <summary>
/// What a crop can use of what was spread, by the set and scheme named: this season's in its first year, and apart from
/// it the nitrogen that still comes from the two seasons before. Source and scheme are left empty for a set that this
/// hub does not know.
/// </summary>
public sealed record AvailabilityResponse(
    string Set,
    string? Source,
    string? Scheme,
    AvailableResponse Nitrogen,
    [property: JsonPropertyName("p2o5")] AvailableResponse P2O5,
    [property: JsonPropertyName("k2o")] AvailableResponse K2O,
    AvailableResponse CarriedOverNitrogen,
    IReadOnlyList<UsedCoefficientResponse> Coefficients
);

/// <summary>
/// Kilograms over the whole field, or the reason why there are none; the share (0 to 1) of the volume for which they
/// could be reckoned is empty where nothing was spread.
/// </summary>
public sealed record AvailableResponse(double? Kilograms, bool AtLeast, double? ShareOfVolume, string? Reason);

/// <summary>
/// A figure of the set that entered the amounts, where it stands in its source and how far it can be trusted.
/// </summary>
public sealed record UsedCoefficientResponse(string Name, double Value, string Unit, string Place, string Mark);
