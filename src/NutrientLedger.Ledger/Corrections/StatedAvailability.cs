using NutrientLedger.Ledger.Fields;

namespace NutrientLedger.Ledger.Corrections;

/// <summary>
/// The nitrogen of a season's spreading that a crop can use in that season (kg, elemental), by the set that the farm had chosen; where it
/// cannot be reckoned, why not. Source names the set's title and publisher, nothing when this hub does not know the set.
/// </summary>
public sealed record StatedAvailability(
    string FactorSet,
    string? Source,
    StatedAmount NitrogenKilograms,
    string? ReasonBefore,
    string? ReasonAfter
)
{
    /// <summary>Nothing without a choice for the season, or outside all fields; a correction never changes the choice.</summary>
    internal static StatedAvailability? Of(FieldAvailability? before, FieldAvailability? after) =>
        before is null || after is null
            ? null
            : new(
                after.Chosen.SetId,
                after.Set?.Source,
                new(StatedAmounts.Rounded(before.Nitrogen.Kilograms), StatedAmounts.Rounded(after.Nitrogen.Kilograms)),
                before.Nitrogen.Reason,
                after.Nitrogen.Reason
            );
}
