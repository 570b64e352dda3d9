using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Queries;

namespace NutrientLedger.Web.Queries;

/// <summary>
/// A farm's register and its posted lines as they stood together, seen for one season; the seasons are all those with
/// lines or a plan, in order.
/// </summary>
internal record FarmLines(
    string FarmId,
    ConfigurationSnapshot At,
    LedgerLines View,
    int Season,
    IReadOnlyList<int> Seasons
)
{
    public FarmConfiguration Configuration => At.Configuration;
}

/// <summary>The same with coverage, which is most of what a reading costs.</summary>
internal sealed record FarmSnapshot(
    string FarmId,
    ConfigurationSnapshot At,
    LedgerView Whole,
    int Season,
    IReadOnlyList<int> Seasons
) : FarmLines(FarmId, At, Whole, Season, Seasons);
