using NutrientLedger.Agronomy.Factors.Conditions;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Ledger.Fields;
using NutrientLedger.Web.Wording;

namespace NutrientLedger.Hub.Tables;

/// <summary>
/// Notes to a plan: why a number is unknown, and by which factor set available nitrogen was computed.
/// </summary>
internal static class PlanNotes
{
    public static IEnumerable<string> Of(FieldBalance balance)
    {
        if (balance.Plan is not { } plan)
            yield break;
        foreach (var (sign, planned) in new[] { ("N", plan.Nitrogen), ("P2O5", plan.P2O5), ("K2O", plan.K2O) })
            if (UnavailableWording.Of(planned?.Unavailable) is { } note)
                yield return $"{sign} left is unknown: {note}";
        if (
            plan is { Nitrogen.RemainingKilograms: not null, Plan.NitrogenBasis: NitrogenBasis.Available }
            && balance.Availability?.Set is { } set
        )
            yield return $"N left is available N by factor set {set.Id} ({Words.Of(set.Scheme)})";
    }
}
