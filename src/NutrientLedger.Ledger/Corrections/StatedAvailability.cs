using NutrientLedger.Ledger.Fields;

namespace NutrientLedger.Ledger.Corrections;

/// <summary>
/// The nitrogen of a season's spreading that a crop can use in that season (kg, elemental), by the id of the factor set
/// that the farm had chosen. Where it cannot be computed, why not.
/// </summary>
public sealed record StatedAvailability(
    string FactorSet,
    StatedAmount NitrogenKilograms,
    Unavailable? UnavailableBefore,
    Unavailable? UnavailableAfter
)
{
    /// <summary>
    /// Null without a choice for the season, or outside all fields; a correction never changes the choice.
    /// </summary>
    internal static StatedAvailability? Of(FieldAvailability? before, FieldAvailability? after) =>
        before is null || after is null
            ? null
            : new(
                after.Chosen.SetId,
                new(StatedAmounts.Rounded(before.Nitrogen.Kilograms), StatedAmounts.Rounded(after.Nitrogen.Kilograms)),
                before.Nitrogen.Unavailable,
                after.Nitrogen.Unavailable
            );
}
