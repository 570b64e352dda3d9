using NutrientLedger.Ledger.Lines;

namespace NutrientLedger.Ledger.Posting;

/// <summary>
/// An applicator has lines in a field, or outside all fields where the id is empty. Placed is true when any of them
/// comes from work at a known place. What was not placed or is unknown does not, and no new boundary can move it.
/// </summary>
public readonly record struct WorkedPlace(string ApplicatorId, string FieldId, bool Placed)
{
    /// <summary>The places of some lines, each once.</summary>
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
