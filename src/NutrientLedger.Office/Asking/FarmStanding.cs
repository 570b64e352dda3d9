using NutrientLedger.Ledger;
using NutrientLedger.Store;

namespace NutrientLedger.Office.Asking;

/// <summary>
/// A farm's register and its posted lines as they stood together, seen for one season; the seasons are all those with lines or a
/// plan, in order.
/// </summary>
internal record FarmLines(string FarmId, RegisterAt At, LedgerLines View, int Season, IReadOnlyList<int> Seasons)
{
    public Register Register => At.Register;
}

/// <summary>The same with coverage, which is most of what a reading costs.</summary>
internal sealed record FarmStanding(
    string FarmId,
    RegisterAt At,
    LedgerView Whole,
    int Season,
    IReadOnlyList<int> Seasons
) : FarmLines(FarmId, At, Whole, Season, Seasons);
