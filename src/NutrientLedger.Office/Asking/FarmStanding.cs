using NutrientLedger.Ledger;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Asking;

/// <summary>A farm's register and its posted ledger as they stood together, seen for one season.</summary>
internal sealed record FarmStanding(string FarmId, RegisterAt At, LedgerView View, int Season)
{
    public Register Register => At.Register;
}
