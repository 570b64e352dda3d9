using System.Collections.Immutable;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Sampling;

namespace NutrientLedger.Ledger.Configuration;

/// <summary>
/// The calibrations of a configuration that were not withdrawn, in the order of the journal. Where two overlap, one for
/// a single pit goes before one for all pits. A person's goes before a rule's. Of equals the one adopted last holds.
/// </summary>
public sealed class Calibrations
{
    private readonly ILookup<(string SensorId, Analyte Analyte), InForce> inOrder;

    internal Calibrations(IEnumerable<IJournalEvent> events)
    {
        var adopted = new List<CalibrationAdopted>();
        var byRule = new HashSet<CalibrationAdopted>(ReferenceEqualityComparer.Instance);
        foreach (var @event in events)
            if (Adoption(@event) is { } calibration)
            {
                adopted.RemoveAll(same => same.CalibrationId == calibration.CalibrationId);
                adopted.Add(calibration);
                if (@event is CalibrationAdoptedByRule)
                    byRule.Add(calibration);
            }
            else if (@event is CalibrationWithdrawn withdrawn)
                adopted.RemoveAll(same => same.CalibrationId == withdrawn.CalibrationId);
        Adopted = [.. adopted];
        inOrder = adopted
            .AsEnumerable()
            .Reverse()
            .OrderBy(calibration => calibration.PitId is null)
            .ThenBy(byRule.Contains)
            .Select(calibration => new InForce(
                ConfigurationIndex.Milliseconds(calibration.ValidFrom),
                calibration.ValidTo is { } end ? ConfigurationIndex.Milliseconds(end) : long.MaxValue,
                calibration
            ))
            .ToLookup(calibration => (calibration.Adopted.SensorId, calibration.Adopted.Analyte));
    }

    /// <summary>Everything adopted and not withdrawn, in the order of the journal.</summary>
    public ImmutableArray<CalibrationAdopted> Adopted { get; }

    /// <summary>
    /// The calibration that an event adopts, by a person or by the farm's rule. Null for every other event.
    /// </summary>
    public static CalibrationAdopted? Adoption(IJournalEvent @event) =>
        @event switch
        {
            CalibrationAdopted adopted => adopted,
            CalibrationAdoptedByRule byRule => byRule.Calibration,
            _ => null,
        };

    /// <summary>
    /// The calibration for one sensor and analyte, of the manure of one pit, at a moment in ms since 1970.
    /// </summary>
    public CalibrationAdopted? At(string sensorId, Analyte analyte, string pitId, long milliseconds)
    {
        foreach (var (from, to, adopted) in inOrder[(sensorId, analyte)])
            if (milliseconds >= from && milliseconds < to && (adopted.PitId is null || adopted.PitId == pitId))
                return adopted;
        return null;
    }

    private readonly record struct InForce(long From, long To, CalibrationAdopted Adopted);
}
