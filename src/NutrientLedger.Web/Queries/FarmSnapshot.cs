using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Persistence.Configuration;
using NutrientLedger.Persistence.Queries;

namespace NutrientLedger.Web.Queries;

/// <summary>
/// A farm's configuration and posted lines, read together for one season. Seasons are all those with lines or a plan,
/// in order.
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

/// <summary>The same with coverage, which takes most of the reading time.</summary>
internal sealed record FarmSnapshot(
    string FarmId,
    ConfigurationSnapshot At,
    LedgerView Whole,
    int Season,
    IReadOnlyList<int> Seasons
) : FarmLines(FarmId, At, Whole, Season, Seasons);
