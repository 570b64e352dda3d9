using System.Text.Json.Serialization;
using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Web.Contracts.Fields;

/// <summary>
/// The balance of a field in a season. Nutrients are kilograms over the whole field, a minimum when a part of the
/// volume has no composition. They include the calibrations in force; where one had an effect, ElementalAsMeasured has
/// the values without it. Availability is null when the farm chose no set. While a correction is being posted, values
/// are those before it. Plan values are null where no plan, limit or basis allows them.
/// InNoSpreadZones is the part spread inside no-spread zones, null when there is none.
/// </summary>
internal sealed record BalanceResponse(
    string Farm,
    string Field,
    string Name,
    int Season,
    long Position,
    string? Crop,
    string? NitrogenBasis,
    double? FieldSquareMetres,
    double VolumeCubicMetres,
    double DisengagedCubicMetres,
    double WithoutCompositionCubicMetres,
    double FlaggedShare,
    IReadOnlyList<FlaggedResponse> Flagged,
    NoSpreadZonesResponse? InNoSpreadZones,
    double CoveredSquareMetres,
    double OverlappedSquareMetres,
    double TravelledSquareMetres,
    double? CubicMetresPerHectareTravelled,
    DateTimeOffset? LastMeasuredAt,
    NutrientResponse Nitrogen,
    [property: JsonPropertyName("p2o5")] NutrientResponse P2O5,
    [property: JsonPropertyName("k2o")] NutrientResponse K2O,
    ElementalResponse Elemental,
    ElementalResponse? ElementalAsMeasured,
    AvailabilityResponse? Availability,
    bool IsBeingCorrected,
    IReadOnlyList<string> Notes
);

/// <summary>
/// What was spread by readings that a rule flags: the volume, and shares (0 to 1) of the volume and of each nutrient.
/// Nutrients are as the sensor measured them. "any" means at least one rule about engaged intervals; rules overlap.
/// </summary>
internal sealed record FlaggedResponse(
    string Rule,
    string Description,
    long Intervals,
    double VolumeCubicMetres,
    double? ShareOfVolume,
    double? ShareOfTotalNitrogen,
    double? ShareOfAmmoniumNitrogen,
    double? ShareOfPhosphorus,
    double? ShareOfPotassium
);

/// <summary>
/// The part of the amounts that was spread inside no-spread zones; nothing is subtracted. Nutrients include the
/// calibrations in force. AtLeast says that part of the volume has no composition.
/// </summary>
internal sealed record NoSpreadZonesResponse(
    double VolumeCubicMetres,
    double TotalNitrogenKilograms,
    [property: JsonPropertyName("p2o5Kilograms")] double P2o5Kilograms,
    bool AtLeast,
    string Caution
);

/// <summary>
/// One nutrient compared with its limit. Counted is what the plan limits: available nitrogen if it says so, else all
/// that was spread. ShareOfPlan is 1 when the whole allowance is used.
/// </summary>
internal sealed record NutrientResponse(
    double SpreadKilograms,
    bool AtLeast,
    double? CountedKilograms,
    double? AllowedKilograms,
    double? RemainingKilograms,
    double? ShareOfPlan
);

/// <summary>
/// The same amounts in elements, as in the ledger, and as the two oxides used in plans. Dry matter is the mean fraction
/// of fresh mass.
/// </summary>
public sealed record ElementalResponse(
    double TotalNitrogenKilograms,
    double AmmoniumNitrogenKilograms,
    double? OrganicNitrogenKilograms,
    double PhosphorusKilograms,
    double PotassiumKilograms,
    double? DryMatterFraction
)
{
    public double P2o5Kilograms => PhosphorusKilograms * Oxides.P2O5PerPhosphorus;

    public double K2oKilograms => PotassiumKilograms * Oxides.K2OPerPotassium;
}
