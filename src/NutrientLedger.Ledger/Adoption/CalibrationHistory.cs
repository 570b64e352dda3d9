using NutrientLedger.Journal;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Ledger.Configuration;

namespace NutrientLedger.Ledger.Adoption;

/// <summary>
/// An adoption and what became of it. Places are those in the list of events. A withdrawal takes back all that have its
/// id. The next adoption under the same id replaces one that was not withdrawn before.
/// </summary>
public sealed record PastAdoption(
    int Place,
    CalibrationAdopted Calibration,
    CalibrationWithdrawn? Withdrawal,
    int? ReplacedAt
);

/// <summary>Every calibration that a farm ever adopted.</summary>
public static class CalibrationHistory
{
    /// <summary>All adoptions, by persons and by rules, in the order of the events.</summary>
    public static IEnumerable<PastAdoption> Of(IReadOnlyList<IJournalEvent> events)
    {
        for (var place = 0; place < events.Count; place++)
            if (Calibrations.Adoption(events[place]) is { } adopted)
            {
                var id = adopted.CalibrationId;
                var withdrawn = After(place, it => it is CalibrationWithdrawn taken && taken.CalibrationId == id);
                var next = After(place, it => Calibrations.Adoption(it)?.CalibrationId == id);
                yield return new(
                    place,
                    adopted,
                    withdrawn is { } at ? (CalibrationWithdrawn)events[at] : null,
                    withdrawn < next ? null : next
                );
            }

        int? After(int place, Func<IJournalEvent, bool> wanted)
        {
            for (var later = place + 1; later < events.Count; later++)
                if (wanted(events[later]))
                    return later;
            return null;
        }
    }
}
