using System.Collections.Immutable;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Fields;

/// <summary>
/// The seasons of a farm that have lines or a plan, in order, and the latest of them. A season is the calendar year in
/// which the crop year ends. With neither lines nor plans the latest is the season in which the ledger begins.
/// </summary>
public sealed record FarmSeasons(ImmutableArray<int> All, int Latest)
{
    /// <summary>
    /// The seasons of a registered farm, from those of its lines (repeats are allowed) and its plans.
    /// </summary>
    public static FarmSeasons Of(FarmConfiguration configuration, IEnumerable<int> posted)
    {
        var calendar = configuration.Calendar!;
        ImmutableArray<int> all = [.. posted.Union(configuration.Plans.Select(plan => plan.Season)).Order()];
        return new(all, all.IsEmpty ? calendar.SeasonAt(calendar.LedgerBeginsMilliseconds) : all[^1]);
    }
}
