using System.Text.Json.Serialization;
using NutrientLedger.Agronomy.Units.Chemistry;

namespace NutrientLedger.Web.Contracts.Fields;

/// <summary>
/// The balance of a field in a season. Nutrients are kilograms over the whole field; at least this much where part of
/// the volume came without a composition. Available nutrients are left out where the farm chose no set. All nutrients
/// are as the calibrations in force make them; where one had a part, the elements stand beside as the sensor measured
/// them. While a correction is being posted they are those before it. Plan figures are left empty where no plan, limit
/// or basis allows one.
/// </summary>
public sealed record BalanceResponse(
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
/// What rests on readings that a rule flags ("any" for at least one rule about engaged intervals; rules overlap), as
/// volume and as parts (0…1) of what was spread: of the volume, and of each nutrient as the sensor measured it.
/// </summary>
public sealed record FlaggedResponse(
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
/// One nutrient against its limit. Counted is what the plan goes by: available nitrogen where it is written so, else
/// all that was spread. The share of the plan is 1 when all that it allows is used.
/// </summary>
public sealed record NutrientResponse(
    double SpreadKilograms,
    bool AtLeast,
    double? CountedKilograms,
    double? AllowedKilograms,
    double? RemainingKilograms,
    double? ShareOfPlan
);

/// <summary>
/// The same spreading in elements, as the ledger holds it, and the two oxides in which plans are written; the dry
/// matter is the mean fraction of fresh mass.
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
