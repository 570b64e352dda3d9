using NutrientLedger.Ledger;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Asking;

/// <summary>
/// A farm's register and its posted ledger as they stood together, seen for one season; the seasons are all those with lines
/// or a plan, in order.
/// </summary>
internal sealed record FarmStanding(
    string FarmId,
    RegisterAt At,
    LedgerView View,
    int Season,
    IReadOnlyList<int> Seasons
)
{
    public Register Register => At.Register;
}
