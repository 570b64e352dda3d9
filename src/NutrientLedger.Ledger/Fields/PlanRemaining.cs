using NutrientLedger.Journal.Fields;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Ledger.Fields;

/// <summary>
/// One limit of a plan over the whole field: what it allows, what counts against it and what is left. The rest is
/// negative once exceeded, and "at most" when part of what was spread came without a content. Where there is no number
/// the note says why.
/// </summary>
public sealed record PlannedAmount(
    double? AllowedKilograms,
    double? CountedKilograms,
    double? RemainingKilograms,
    bool AtMost,
    Unavailable? Unavailable
)
{
    /// <summary>
    /// The counted part of what is allowed, above 1 once exceeded. Null where one is unknown or nothing is allowed.
    /// </summary>
    public double? ShareCounted => AllowedKilograms is > 0 and var allowed ? CountedKilograms / allowed : null;
}

/// <summary>
/// A field's plan for a season beside what has been spread. A limit that the plan does not set is left out.
/// </summary>
public sealed record PlanRemaining(
    NutrientPlanSet Plan,
    PlannedAmount? Nitrogen,
    PlannedAmount? P2O5,
    PlannedAmount? K2O
)
{
    /// <summary>Compares a plan with what was spread on its field. Phosphate and potash count in full.</summary>
    public static PlanRemaining Of(
        NutrientPlanSet plan,
        double? fieldSquareMetres,
        SpreadAmounts spread,
        FieldAvailability? availability
    )
    {
        // Total nitrogen is no stand-in for available nitrogen that cannot be calculated.
        (double?, bool, Unavailable?) nitrogen =
            plan.NitrogenBasis == NitrogenBasis.Total
                ? (spread.TotalNitrogen.Kilograms, spread.TotalNitrogen.AtLeast, null)
            : availability?.Nitrogen is { } available ? (available.Kilograms, available.AtLeast, available.Unavailable)
            : (null, false, Unavailable.For(new NoFactorSetChosen()));
        return new(
            plan,
            Limit(plan.NitrogenGramsPerHectare, nitrogen),
            Limit(plan.P2O5GramsPerHectare, (spread.P2O5Kilograms, spread.Phosphorus.AtLeast, null)),
            Limit(plan.K2OGramsPerHectare, (spread.K2OKilograms, spread.Potassium.AtLeast, null))
        );

        PlannedAmount? Limit(long? gramsPerHectare, (double? Kilograms, bool AtLeast, Unavailable? Unavailable) counted)
        {
            if (gramsPerHectare is not { } limit)
                return null;
            if (fieldSquareMetres is not { } area)
                return new(null, null, null, AtMost: false, Unavailable.For(new NoBoundary()));
            // g/ha × m² ÷ 10 000 m²/ha ÷ 1000 g/kg.
            var allowed = limit * area / 1e7;
            return new(allowed, counted.Kilograms, allowed - counted.Kilograms, counted.AtLeast, counted.Unavailable);
        }
    }
}
