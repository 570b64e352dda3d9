using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Ledger.Posting;

/// <summary>
/// Where one applicator has lines in a season: in a field, or outside all (an empty id). Placed says whether some of it
/// has a place. What was only metered is outside all fields whatever their boundaries.
/// </summary>
public readonly record struct WorkedPlace(int Season, string ApplicatorId, string FieldId, bool Placed)
{
    public static IReadOnlyCollection<WorkedPlace> Of(IEnumerable<KeyValuePair<LineKey, LineAmounts>> lines) =>
        [
            .. lines
                .GroupBy(line => (line.Key.Season, line.Key.ApplicatorId, line.Key.FieldId))
                .Select(place => new WorkedPlace(
                    place.Key.Season,
                    place.Key.ApplicatorId,
                    place.Key.FieldId,
                    place.Any(line => line.Value is { Intervals: > 0 } or { DisengagedMillilitres: > 0 })
                )),
        ];
}
