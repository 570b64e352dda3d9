using NutrientLedger.Journal.Fields;

namespace NutrientLedger.Ledger;

/// <summary>
/// One limit of a plan over the whole field: what it allows and what is left of it, negative once exceeded; "at most" when
/// part of what was spread came without a content. Where there is no number the note says why.
/// </summary>
public sealed record PlannedAmount(double? AllowedKilograms, double? RemainingKilograms, bool AtMost, string? Note);

/// <summary>A field's plan for a season beside what has been spread; a limit the plan does not set is left out.</summary>
public sealed record PlanRemaining(
    NutrientPlanSet Plan,
    PlannedAmount? Nitrogen,
    PlannedAmount? P2O5,
    PlannedAmount? K2O
)
{
    /// <summary>Compares a plan with what was spread on the field it is for.</summary>
    public static PlanRemaining Of(NutrientPlanSet plan, double? fieldSquareMetres, SpreadAmounts spread)
    {
        var nitrogen = Limit(
            plan.NitrogenGramsPerHectare,
            spread.TotalNitrogen.Kilograms,
            spread.TotalNitrogen.AtLeast
        );
        return new(
            plan,
                // Available nitrogen needs availability figures that the farm has to choose; total nitrogen is no stand-in for it.
                plan.NitrogenBasis == NitrogenBasis.Total
                    ? nitrogen
                : nitrogen is null ? null
                : nitrogen with { RemainingKilograms = null, AtMost = false, Note = "no availability set chosen" },
            Limit(plan.P2O5GramsPerHectare, spread.P2O5Kilograms, spread.Phosphorus.AtLeast),
            Limit(plan.K2OGramsPerHectare, spread.K2OKilograms, spread.Potassium.AtLeast)
        );

        PlannedAmount? Limit(long? gramsPerHectare, double spreadKilograms, bool spreadIsAtLeast)
        {
            if (gramsPerHectare is not { } limit)
                return null;
            if (fieldSquareMetres is not { } area)
                return new(null, null, AtMost: false, "the field has no boundary in this season");
            // g/ha × m² ÷ 10 000 m²/ha ÷ 1000 g/kg.
            var allowed = limit * area / 1e7;
            return new(allowed, allowed - spreadKilograms, spreadIsAtLeast, Note: null);
        }
    }
}
