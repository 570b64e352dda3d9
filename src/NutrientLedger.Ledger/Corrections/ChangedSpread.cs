using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Ledger.Corrections;

/// <summary>
/// What was spread on a field (none if empty) from a pit in a season, before and after a correction of the past.
/// </summary>
public sealed record ChangedSpread(string FieldId, int Season, string PitId, SpreadAmounts Before, SpreadAmounts After)
{
    /// <summary>Where a correction makes any difference, in order of field, season and pit.</summary>
    public static IReadOnlyList<ChangedSpread> Between(
        FarmConfiguration before,
        IReadOnlyDictionary<LineKey, LineAmounts> linesBefore,
        FarmConfiguration after,
        IReadOnlyDictionary<LineKey, LineAmounts> linesAfter
    ) =>
        [
            .. from key in linesBefore.Keys.Union(linesAfter.Keys)
            group key by (key.FieldId, key.Season, key.PitId) into place
            orderby place.Key
            let change = new ChangedSpread(
                place.Key.FieldId,
                place.Key.Season,
                place.Key.PitId,
                SpreadAmounts.Of(before, Of(linesBefore, place)),
                SpreadAmounts.Of(after, Of(linesAfter, place))
            )
            where change.Before.Sums != change.After.Sums || change.Before.Calibrated != change.After.Calibrated
            select change,
        ];

    private static IEnumerable<KeyValuePair<LineKey, LineAmounts>> Of(
        IReadOnlyDictionary<LineKey, LineAmounts> lines,
        IEnumerable<LineKey> keys
    ) => keys.Where(lines.ContainsKey).Select(key => KeyValuePair.Create(key, lines[key]));
}
