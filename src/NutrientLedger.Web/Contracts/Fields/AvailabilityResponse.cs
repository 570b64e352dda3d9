using System.Text.Json.Serialization;

namespace NutrientLedger.Web.Contracts.Fields;

/// <summary>
/// Nutrients available to a crop by the named factor set and scheme: those of this season in their first year. Nitrogen
/// carried over from the two seasons before is separate. Source and scheme are null for a set unknown to this hub.
/// </summary>
internal sealed record AvailabilityResponse(
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
/// Kilograms over the whole field, or the reason why they are unknown. ShareOfVolume (0 to 1) is the part of the volume
/// they could be computed for; null when nothing was spread.
/// </summary>
internal sealed record AvailableResponse(double? Kilograms, bool AtLeast, double? ShareOfVolume, string? Reason);

/// <summary>
/// A coefficient used for the amounts, its place in the source, and a mark of how far it can be trusted.
/// </summary>
internal sealed record UsedCoefficientResponse(string Name, double Value, string Unit, string Place, string Mark);
