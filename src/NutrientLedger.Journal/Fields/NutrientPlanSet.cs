using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Fields;

/// <summary>
/// Whether a plan limits all nitrogen spread or only the share that a crop can use in the first year.
/// </summary>
public enum NitrogenBasis
{
    /// <summary>Total nitrogen as analysed.</summary>
    Total = 1,

    /// <summary>First-year available nitrogen by the farm's availability coefficients.</summary>
    Available = 2,
}

/// <summary>
/// What a field's nutrient plan allows from manure in one season, in grams per hectare over the whole field. A limit
/// that the plan does not set is left out. P2O5 and K2O are oxides, as plans are written.
/// </summary>
public sealed record NutrientPlanSet(
    string FieldId,
    int Season,
    NitrogenBasis NitrogenBasis,
    long? NitrogenGramsPerHectare,
    long? P2O5GramsPerHectare,
    long? K2OGramsPerHectare,
    string PlannedCrop
) : IDefinedEvent<NutrientPlanSet>
{
    public static EventDefinition<NutrientPlanSet> Definition { get; } =
        new("nutrient_plan_set", new(EventRoute.FarmFile, "plans"))
        {
            Changes = EventChanges.Nothing,
            Subject = plan => plan.FieldId,
            Key = plan => EntryKey.TextOf(plan.FieldId, plan.Season),
        };
}
