using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Ledger.Posting;

/// <summary>
/// An applicator has lines in a field, or outside all fields where the id is empty. Placed tells whether any of them rests on
/// work at a known place; what was not placed or is unknown does not, and no boundary drawn anew can move it.
/// </summary>
public readonly record struct WorkedPlace(string ApplicatorId, string FieldId, bool Placed)
{
    /// <summary>The places of which lines tell, each once.</summary>
    public static IReadOnlyCollection<WorkedPlace> Of(IEnumerable<KeyValuePair<LineKey, LineAmounts>> lines) =>
        [
            .. lines
                .GroupBy(line => (line.Key.ApplicatorId, line.Key.FieldId))
                .Select(place => new WorkedPlace(
                    place.Key.ApplicatorId,
                    place.Key.FieldId,
                    place.Any(line => line.Value is { Intervals: > 0 } or { DisengagedMillilitres: > 0 })
                )),
        ];
}
